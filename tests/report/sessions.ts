import type {
  Endpoint,
  RightOrWrongEndpoint,
  SetKind,
  Treatment,
} from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type {
  ControlKind,
  Evidence,
  UnblindedBallot,
  UnblindedCup,
  UnblindedPot,
} from "../../src/report/evidence.ts";

/** Builders for sessions as the analysis reads them: a plan, then answers one by one. */

export const triangle = {
  id: "e1",
  role: "primary",
  kind: "overall-difference",
  method: "triangle",
  margin: 0.3,
} as const satisfies Endpoint;
export const duoTrio = {
  id: "e1",
  role: "primary",
  kind: "overall-difference",
  method: "duo-trio",
  reference: "balanced",
  margin: 0.3,
} as const satisfies Endpoint;
export const tetrad = {
  id: "e1",
  role: "primary",
  kind: "overall-difference",
  method: "tetrad",
  margin: 0.3,
} as const satisfies Endpoint;
/** 3-AFC. */
export const brightest = {
  id: "e1",
  role: "primary",
  kind: "attribute-difference",
  attribute: "brightness",
  expected: "B",
  margin: 0.3,
} as const satisfies Endpoint;
export const brighter = {
  id: "e1",
  role: "primary",
  kind: "direction",
  attribute: "brightness",
  expected: null,
  margin: 0.3,
} as const satisfies Endpoint;
export const preferred = {
  id: "e1",
  role: "primary",
  kind: "preference",
  margin: 0.3,
} as const satisfies Endpoint;
export const sweetness = {
  id: "e1",
  role: "primary",
  kind: "attribute-score",
  attribute: "sweetness",
  lowAnchor: "none",
  highAnchor: "very",
  margin: 10,
} as const satisfies Endpoint;
export const extractionYield = {
  id: "e9",
  role: "secondary",
  kind: "extraction-yield",
  margin: 0.5,
} as const satisfies Endpoint;

export function planFor(
  endpoints: Endpoint[],
  coffees: string[] = ["Bramble"],
  more: Partial<Plan> = {},
): Plan {
  const treatment = { description: "", mineralsInReadingMilligramsPerLitre: 0 };
  return {
    title: "A tasting",
    question: "Does it matter?",
    hypothesis: "",
    treatments: { A: { ...treatment, name: "Tank" }, B: { ...treatment, name: "Pot" } },
    coffees: coffees.map((name, i) => ({ id: `c${i + 1}`, name, roast: "" })),
    endpoints,
    alpha: 0.05,
    coffeeClaims: "after-overall",
    tasters: 12,
    spareSeats: 0,
    brewPairsPerCoffee: 1,
    replicates: 1,
    controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
    coffeeOrder: "balanced",
    cannotTellAllowed: false,
    brewers: ["North"],
    recipe: {
      doseGrams: 60,
      brewWaterGrams: 1000,
      millilitresPerCup: 40,
      servingTemperatureCelsius: 55,
    },
    brewLimits: null,
    substances: [],
    exclusionRule: "",
    ...more,
  };
}

export function evidenceOf(
  plan: Plan,
  ballots: UnblindedBallot[],
  pots: UnblindedPot[] = [],
): Evidence {
  return {
    plan,
    seatsStarted: new Set(ballots.map(({ seatId }) => seatId)).size,
    ballotsExpected: ballots.length,
    ballots,
    pots,
    blind: { openedEarly: [], leadSawSheets: [] },
  };
}

export interface Served {
  seat: string;
  coffee?: string;
  pair?: number;
  control?: ControlKind | null;
  endpointId?: string;
}

let served = 0;

/** A triangle answered rightly or not; `chosen` fixes the position picked. */
export function triad(right: boolean, where: Served, chosen?: number): UnblindedBallot {
  const odd = (served % 3) + 1;
  const pick = chosen ?? (right ? odd : (odd % 3) + 1);
  const oddPosition =
    chosen === undefined || right === (chosen === odd) ? odd : right ? chosen : (chosen % 3) + 1;
  const sameTreatment = where.control !== undefined && where.control !== null;
  const cups = [1, 2, 3].map((position): UnblindedCup => {
    const treatment: Treatment = position === oddPosition && !sameTreatment ? "B" : "A";
    const potLetter = where.control === "same-pot" || position !== oddPosition ? "C" : "D";
    return { position, code: String(100 + position), potLetter, treatment };
  });
  const answers = { [where.endpointId ?? "e1"]: { chosen: String(100 + pick) } };
  return { ...ballotAt(where, "triangle"), oddPosition, cups, answers };
}

/** Every serving order in turn, and the place of the cup whose choice is right. */
const servedOrders = {
  triangle: ["1ABB", "1BAA", "2ABA", "2BAB", "3AAB", "3BBA"],
  "duo-trio": ["3ABA", "3BAB", "2AAB", "2BBA"],
  tetrad: ["2AABB", "2BBAA", "3ABAB", "3BABA", "4ABBA", "4BAAB"],
  "three-afc": ["1BAA", "2ABA", "3AAB"],
} as const;

/** A set of any method with right and wrong answers, answered so; B is what a 3-AFC expects. */
export function answered(
  endpoint: RightOrWrongEndpoint,
  right: boolean,
  where: Served,
): UnblindedBallot {
  const set = endpoint.kind === "attribute-difference" ? "three-afc" : endpoint.method;
  const orders = servedOrders[set];
  const [place = "", ...letters] = orders[served % orders.length] ?? "";
  const wrongPlaces = letters
    .map((_, i) => i + 1)
    .filter((at) => at !== Number(place) && (at > 1 || set === "triangle" || set === "three-afc"));
  const chosen = right ? Number(place) : wrongPlaces[served % wrongPlaces.length];
  const cups = letters.map((letter, i): UnblindedCup => {
    const treatment = where.control == null && letter === "B" ? "B" : "A";
    const potLetter = where.control === "same-pot" || letter === "A" ? "C" : "D";
    return { position: i + 1, code: String(101 + i), potLetter, treatment };
  });
  const odd = {
    triangle: Number(place),
    "three-afc": Number(place),
    "duo-trio": 5 - Number(place),
  };
  return {
    ...ballotAt(where, set),
    oddPosition: set === "tetrad" ? null : odd[set],
    fellowPosition: set === "tetrad" ? Number(place) : null,
    cups,
    answers: { [where.endpointId ?? "e1"]: { chosen: String(100 + Number(chosen)) } },
  };
}

/** One of two cups picked; AB and BA are served in turn. */
export function pick(treatment: Treatment | "cannot-tell" | 1 | 2, where: Served): UnblindedBallot {
  const bFirst = served % 2 === 0;
  const cups = pairOfCups(where, bFirst);
  const chosen = cups.find((cup) => cup.treatment === treatment || cup.position === treatment);
  const answer = chosen ? { chosen: chosen.code } : { cannotTell: true as const };
  return {
    ...ballotAt(where, "ab"),
    oddPosition: null,
    cups,
    answers: { [where.endpointId ?? "e1"]: answer },
  };
}

/** Both cups scored. */
export function scored(a: number, b: number, where: Served): UnblindedBallot {
  const cups = pairOfCups(where, served % 2 === 0);
  const [first, second] = cups;
  if (!first || !second) throw new Error("A pair has two cups");
  const scores =
    first.treatment === "A"
      ? { [first.code]: a, [second.code]: b }
      : { [first.code]: b, [second.code]: a };
  return {
    ...ballotAt(where, "ab"),
    oddPosition: null,
    cups,
    answers: { [where.endpointId ?? "e1"]: { scores } },
  };
}

function pairOfCups(where: Served, bFirst: boolean): UnblindedCup[] {
  const controlled = where.control !== undefined && where.control !== null;
  const order: Treatment[] = controlled ? ["A", "A"] : bFirst ? ["B", "A"] : ["A", "B"];
  return order.map((treatment, i) => ({
    position: i + 1,
    code: String(200 + i),
    potLetter:
      where.control === "same-pot"
        ? "C"
        : controlled
          ? i === 0
            ? "C"
            : "D"
          : treatment === "A"
            ? "C"
            : "D",
    treatment,
  }));
}

function ballotAt(where: Served, set: SetKind) {
  served += 1;
  return {
    seatId: where.seat,
    ordinal: served,
    coffeeId: where.coffee ?? "c1",
    pair: where.pair ?? 1,
    replicate: 1,
    control: where.control ?? null,
    set,
    fellowPosition: null,
    submittedAt: "2026-03-02T10:00:00.000Z",
    voidReason: null,
  };
}

export interface Brewed {
  coffee?: string;
  pair?: number;
  yieldA: number;
  yieldB: number;
  brewerOfA?: string;
  brewerOfB?: string;
}

/** The two pots of a brew pair, logged so that their yields come out as given. */
export function pots(brewed: Brewed): UnblindedPot[] {
  const coffeeId = brewed.coffee ?? "c1";
  const pair = brewed.pair ?? 1;
  const pot = (treatment: Treatment, percent: number, brewer: string): UnblindedPot => ({
    coffeeId,
    pair,
    letter: treatment === "A" ? "C" : "D",
    treatment,
    controlPair: false,
    plannedBrewer: brewer,
    brew: {
      coffeeId,
      potLetter: treatment === "A" ? "C" : "D",
      waterLabel: "W",
      brewer,
      doseGrams: 50,
      brewWaterGrams: 1000,
      beverageGrams: 800,
      brewSeconds: 240,
      // Yield = TDS × 800 ÷ 50.
      tdsReadingsPercent: [percent / 16],
      sampleTiming: "no-addition",
      addedGrams: 0,
      note: "",
    },
    rejected: null,
  });
  return [
    pot("A", brewed.yieldA, brewed.brewerOfA ?? "North"),
    pot("B", brewed.yieldB, brewed.brewerOfB ?? "North"),
  ];
}

/** `count` seats, t01 onwards. */
export const seats = (count: number) =>
  Array.from({ length: count }, (_, i) => `t${String(i + 1).padStart(2, "0")}`);
