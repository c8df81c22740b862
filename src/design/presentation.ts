import type { Cup, Pot, Presentation, SetRequest, Treatment } from "./kit-records.ts";
import { pick } from "./random.ts";
import { type Arm, familyOf, fellowPosition, oddPosition } from "./serving-orders.ts";
import type { Serving } from "./servings.ts";

/** The two pots of a pair by the arm that they are. */
export type PairPots = Record<Arm, Pot>;

/** Turns a serving into cups: each gets its code and, from its arm, its pot and treatment. */
export function presentationOf(
  serving: Serving,
  ordinal: number,
  codes: readonly string[],
  pots: PairPots,
): Presentation {
  const { set, pair, replicate, control, arms } = serving;
  const { referenceFirst } = familyOf(set);
  const cups = arms.map((arm, at): Cup => {
    const pot = potFor(serving, arm, pots);
    return {
      position: at + 1,
      code: pick(codes, at),
      potLetter: pot.letter,
      treatment: pot.treatment,
      ...(referenceFirst && at === 0 ? { reference: true } : {}),
    };
  });
  const odd = oddPosition(set.kind, arms);
  const fellow = fellowPosition(set.kind, arms);
  return {
    ordinal,
    setKind: set.kind,
    coffeeId: pots.X.coffeeId,
    pair,
    replicate,
    ...(control === undefined ? {} : { control }),
    order: cups.map((cup) => cup.treatment).join(""),
    arms,
    ...(odd === undefined ? {} : { oddPosition: odd }),
    ...(fellow === undefined ? {} : { fellowPosition: fellow }),
    cups,
  };
}

/** In a control the arms are pots as such; in a test a set may fix which treatment an arm stands for. */
function potFor(serving: Serving, arm: Arm, pots: PairPots): Pot {
  if (serving.onlyArm !== undefined) return pots[serving.onlyArm];
  if (serving.control !== undefined) return pots[arm];
  const fixed = treatmentOfX(serving.set);
  if (fixed === undefined) return pots[arm];
  const isFixedArm = arm === "X";
  return (pots.X.treatment === fixed) === isFixedArm ? pots.X : pots.Y;
}

/** The treatment that arm X must be: a constant reference, or the one that is not odd in a 3-AFC. */
function treatmentOfX(set: SetRequest): Treatment | undefined {
  if (set.kind === "three-afc") return set.oddTreatment === "A" ? "B" : "A";
  if (set.kind === "duo-trio" && set.reference === "constant") return set.referenceTreatment ?? "A";
  return undefined;
}
