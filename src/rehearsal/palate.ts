import type { Presentation } from "../design/kit-records.ts";
import type { Answer } from "../experiment/ballot.ts";
import { type Endpoint, SCALE_MAXIMUM } from "../experiment/endpoint.ts";
import type { Assumptions } from "./assumptions.ts";
import type { Chance } from "./chance.ts";

export type Asked = Exclude<Endpoint, { kind: "extraction-yield" }>;

/** What one taster meets in one presentation. */
export interface Meeting {
  presentation: Presentation;
  /** How much the pots differ towards B, or towards the later letter, on the logit scale. */
  logit: number;
}

/**
 * One simulated answer. Two cups apart by δ on the logit scale: B is picked with chance
 * 1/(1 + e^−δ), which is the same as a share tanh(δ/2) who truly notice while the others toss a coin; the
 * odd cup of three is found by a share |tanh(δ/2)| and otherwise guessed (chance 1/3). Scores differ
 * by δ in units of a logistic person: one point is π/√3 ÷ the spread of a score difference.
 */
export function answerTo(
  asked: Asked,
  { presentation, logit }: Meeting,
  { scorePoints }: Assumptions,
  chance: Chance,
): Answer {
  switch (asked.kind) {
    case "overall-difference":
      return { chosen: oddPick(presentation, Math.abs(Math.tanh(logit / 2)), chance) };
    case "direction":
    case "preference":
      return { chosen: sidePick(presentation, logit, chance) };
    case "attribute-score":
      return {
        scores: scores(presentation, logit * pointsPerLogit(scorePoints), scorePoints, chance),
      };
  }
}

/** Points of the scale that one logit of difference makes. */
export function pointsPerLogit(scorePoints: number): number {
  return (scorePoints * Math.sqrt(3)) / Math.PI;
}

function oddPick({ cups, oddPosition }: Presentation, detectors: number, chance: Chance): string {
  const odd = cups.find(({ position }) => position === oddPosition);
  if (odd && chance.uniform() < detectors) return odd.code;
  return cupAt(cups, Math.floor(chance.uniform() * cups.length)).code;
}

function sidePick(presentation: Presentation, logit: number, chance: Chance): string {
  const [towards, other] = sides(presentation);
  return (chance.uniform() < 1 / (1 + Math.exp(-logit)) ? towards : other).code;
}

/** Both cups around the middle of the scale, apart by `points` on average. */
function scores(
  presentation: Presentation,
  points: number,
  spread: number,
  chance: Chance,
): Record<string, number> {
  const [towards, other] = sides(presentation);
  const score = (shift: number) => {
    const value = SCALE_MAXIMUM / 2 + shift + (spread / Math.SQRT2) * chance.normal();
    return Math.round(Math.min(SCALE_MAXIMUM, Math.max(0, value)));
  };
  return { [towards.code]: score(points / 2), [other.code]: score(-points / 2) };
}

/** The cup that a positive difference speaks for (B; in a control the later letter), and the other. */
function sides({ cups }: Presentation) {
  const [one, two] = [cupAt(cups, 0), cupAt(cups, 1)];
  const second =
    one.treatment === two.treatment ? one.potLetter > two.potLetter : one.treatment === "B";
  return second ? ([one, two] as const) : ([two, one] as const);
}

function cupAt(cups: Presentation["cups"], index: number) {
  const cup = cups[index];
  if (!cup) throw new Error("A presentation lacks a cup");
  return cup;
}
