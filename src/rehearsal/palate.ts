import type { Cup, Presentation } from "../design/kit-records.ts";
import { type Answer, firstPlace } from "../experiment/ballot.ts";
import { type Endpoint, SCALE_MAXIMUM } from "../experiment/endpoint.ts";
import { rightPosition } from "../report/observations.ts";
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
 * 1/(1 + e^−δ), which is the same as a share tanh(δ/2) who truly notice while the others toss a coin.
 * Right and wrong answers: a share |tanh(δ/2)| is right and the others guess; of three cups asked for
 * an attribute, where the single cup has less of it, that share picks another one. Scores differ
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
      return { chosen: rightPick(presentation, Math.abs(Math.tanh(logit / 2)), chance) };
    case "attribute-difference":
      return { chosen: mostPick(presentation, Math.tanh(logit / 2), chance) };
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

function rightPick(presentation: Presentation, detectors: number, chance: Chance): string {
  const { setKind, cups } = presentation;
  const { oddPosition = null, fellowPosition = null } = presentation;
  const right = rightPosition({ set: setKind, oddPosition, fellowPosition, cups });
  const rightCup = cups.find(({ position }) => position === right);
  if (rightCup && chance.uniform() < detectors) return rightCup.code;
  return anyOf(
    cups.filter(({ position }) => position >= firstPlace(setKind)),
    chance,
  ).code;
}

/** `share` notices the single cup to have more (above 0, on the side of B or the later letter) or less. */
function mostPick({ cups, oddPosition }: Presentation, share: number, chance: Chance): string {
  const single = cups.find(({ position }) => position === oddPosition);
  const others = cups.filter((cup) => cup !== single);
  if (!single || chance.uniform() >= Math.abs(share)) return anyOf(cups, chance).code;
  const singleHasMore = share > 0 === speaksFor(single, cupAt(others, 0));
  return singleHasMore ? single.code : anyOf(others, chance).code;
}

const anyOf = (cups: Presentation["cups"], chance: Chance) =>
  cupAt(cups, Math.floor(chance.uniform() * cups.length));

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
  return speaksFor(one, two) ? ([one, two] as const) : ([two, one] as const);
}

/** Whether a positive difference speaks for a cup against another one. */
function speaksFor(cup: Cup, other: Cup): boolean {
  return cup.treatment === other.treatment
    ? cup.potLetter > other.potLetter
    : cup.treatment === "B";
}

function cupAt(cups: Presentation["cups"], index: number) {
  const cup = cups[index];
  if (!cup) throw new Error("A presentation lacks a cup");
  return cup;
}
