export type Treatment = "A" | "B";

/** A kind of set that every taster gets of every brew pair; `ab` serves every two-cup question. */
export type SetRequest =
  | { kind: "triangle" }
  | { kind: "tetrad" }
  | { kind: "ab" }
  /** A constant reference is always of one treatment, A unless said otherwise. */
  | { kind: "duo-trio"; reference: "balanced" | "constant"; referenceTreatment?: Treatment }
  | { kind: "three-afc"; oddTreatment: Treatment };

/** How the cups of one presentation are set out. */
export const setKinds = ["triangle", "duo-trio", "tetrad", "three-afc", "ab"] as const;
export type SetKind = (typeof setKinds)[number];

/**
 * One of two pots being compared, before anyone has said which treatment it holds. Orders are drawn
 * in arms, so that swapping the treatments changes nothing that a taster sees.
 */
export type Arm = "X" | "Y";

/**
 * The serving orders of a kind of set. Orders are numbered by coordinates, so that balancing the
 * coordinates balances what they stand for: number = coordinate 1 × radix 2 + coordinate 2.
 */
export interface OrderFamily {
  /** How many values each coordinate takes; their product is the number of orders. */
  radices: readonly number[];
  /** The orders by number, a letter per cup. */
  orders: readonly (readonly Arm[])[];
  /** Whether the first cup is a named reference. */
  referenceFirst: boolean;
}

/** Six triads: coordinates are the place of the odd cup and the arm served first. ISO 4120. */
const TRIANGLE = family([3, 2], ["XYY", "YXX", "XYX", "YXY", "XXY", "YYX"]);

/** Coordinates: the place of the first cup's fellow and the arm served first. */
const TETRAD = family([3, 2], ["XXYY", "YYXX", "XYXY", "YXYX", "XYYX", "YXXY"]);

/** Reference first, both arms in turn; coordinates: place of the odd cup, arm of the reference. ISO 10399. */
const DUO_TRIO_BALANCED = family([2, 2], ["XYX", "YXY", "XXY", "YYX"], true);

/** Reference first, always arm X. ISO 10399. */
const DUO_TRIO_CONSTANT = family([2], ["XYX", "XXY"], true);

/** The odd cup is always arm Y; its place is the only coordinate. */
const THREE_AFC = family([3], ["YXX", "XYX", "XXY"]);

/** Both orders of two cups. ISO 5495. */
const AB = family([2], ["XY", "YX"]);

/** The serving orders of a requested set. */
export function familyOf(set: SetRequest): OrderFamily {
  switch (set.kind) {
    case "triangle":
      return TRIANGLE;
    case "tetrad":
      return TETRAD;
    case "duo-trio":
      return set.reference === "constant" ? DUO_TRIO_CONSTANT : DUO_TRIO_BALANCED;
    case "three-afc":
      return THREE_AFC;
    case "ab":
      return AB;
  }
}

/** Cups in a set, the reference of a duo-trio included. */
export function cupsOfSet({ kind }: { kind: SetKind }): number {
  return CUPS[kind];
}

const CUPS: Record<SetKind, number> = {
  triangle: 3,
  "duo-trio": 3,
  tetrad: 4,
  "three-afc": 3,
  ab: 2,
};

/** Whether one arm fills more cups than the other, over all of a set's orders. */
export function isLopsided(set: SetRequest): boolean {
  const arms = familyOf(set).orders.flat();
  return 2 * arms.filter((arm) => arm === "X").length !== arms.length;
}

/**
 * The place, from 1, of the cup that differs: the single one of a triangle or 3-AFC, the one unlike
 * the reference of a duo-trio. A tetrad and an A/B set have none.
 */
export function oddPosition(kind: SetKind, order: readonly string[]): number | undefined {
  if (kind === "tetrad" || kind === "ab") return undefined;
  const [first] = order;
  if (kind === "duo-trio") return order.findIndex((cup) => cup !== first) + 1;
  return order.findIndex((cup) => order.filter((other) => other === cup).length === 1) + 1;
}

/**
 * The place, from 1, of the cup that goes with the first one: tetrads only, whose right answer is the
 * two groups of two that it makes.
 */
export function fellowPosition(kind: SetKind, order: readonly string[]): number | undefined {
  if (kind !== "tetrad") return undefined;
  const [first] = order;
  return order.findIndex((cup, at) => at > 0 && cup === first) + 1;
}

function family(
  radices: readonly number[],
  patterns: readonly string[],
  referenceFirst = false,
): OrderFamily {
  const orders = patterns.map((pattern) =>
    [...pattern].map((letter): Arm => (letter === "X" ? "X" : "Y")),
  );
  return { radices, orders, referenceFirst };
}
