import { reachesAlpha, upperTail } from "./binomial.ts";

/** A test that rejects from a count of hits on: hits are correct answers, or for similarity incorrect ones. */
export interface HitTest {
  /** Probability of a hit under the null hypothesis, and under the truth, which is larger. */
  nullHit: number;
  trueHit: number;
  /** Level of the upper tail, and the power wanted of it. */
  alpha: number;
  power: number;
}

export interface FoundPanel {
  assessments: number;
  /** The fewest hits that reject. */
  count: number;
  /** The first size from which power stays; null if not before `largest`. */
  stableAssessments: number | null;
}

/** Running sums this close to a limit are worked out afresh before they decide. */
const DOUBT = 1e-8;

/**
 * The smallest panel up to `largest` that reaches the power, over the saw-tooth: every size is visited, with both tails
 * carried along by their recurrences, up to a size from which Hoeffding's inequality guarantees the power.
 */
export function findPanel(test: HitTest, largest: number): FoundPanel | null {
  const enough = Math.min(largest, guaranteedSize(test));
  const underNull = startTail(test.nullHit);
  const underTruth = startTail(test.trueHit);
  let first: { assessments: number; count: number } | undefined;
  let lastShort = 0;
  for (let n = 1; n <= enough; n += 1) {
    addAssessment(underNull);
    addAssessment(underTruth);
    // One more assessment never lowers the critical count, and never raises it by more than one.
    if (!reachesAlpha(settled(underNull, test.alpha), test.alpha)) {
      raiseCount(underNull);
      raiseCount(underTruth);
    }
    if (!reachesAlpha(test.power, settled(underTruth, test.power))) lastShort = n;
    else first ??= { assessments: n, count: underTruth.count };
  }
  if (first === undefined) return null;
  return { ...first, stableAssessments: lastShort < largest ? lastShort + 1 : null };
}

/** P(X ≥ count) of n assessments, and the probability of one hit fewer that lets it move on. */
interface RunningTail {
  n: number;
  count: number;
  hit: number;
  tail: number;
  justBelow: number;
}

/** Before any assessment no count is reached: one hit of none. */
function startTail(hit: number): RunningTail {
  return { n: 0, count: 1, hit, tail: 0, justBelow: 1 };
}

function addAssessment(running: RunningTail): void {
  const { n, count, hit, justBelow } = running;
  running.n = n + 1;
  running.tail += hit * justBelow;
  running.justBelow *= ((n + 1) * (1 - hit)) / (n + 2 - count);
}

function raiseCount(running: RunningTail): void {
  const { n, count, hit, justBelow } = running;
  // A hit that is certain leaves no chance of fewer hits; only n of n has any.
  const at =
    hit < 1 ? (justBelow * (n + 1 - count) * hit) / (count * (1 - hit)) : Number(count === n);
  running.count = count + 1;
  running.tail = Math.max(0, running.tail - at);
  running.justBelow = at;
}

/** The tail, worked out directly where rounding in the running sum could decide. */
function settled(running: RunningTail, limit: number): number {
  if (Math.abs(running.tail - limit) <= DOUBT * limit) {
    running.tail = upperTail(running.count, running.n, running.hit);
  }
  return running.tail;
}

/**
 * From this size on the power holds whatever the saw-tooth does: the critical count lies within t = √(n ln(1/alpha)/2)
 * of the null mean, and hits miss it with a probability under exp(−2 (n gap − t)²/n). Source: Hoeffding (1963).
 */
function guaranteedSize({ nullHit, trueHit, alpha, power }: HitTest): number {
  const reach = Math.sqrt(Math.log(1 / alpha)) + Math.sqrt(Math.log(1 / (1 - power)));
  return Math.ceil((reach / (trueHit - nullHit)) ** 2 / 2);
}
