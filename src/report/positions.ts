import { cupsOfSet } from "../design/serving-orders.ts";
import { firstPlace } from "../experiment/ballot.ts";
import { type Endpoint, setOf } from "../experiment/endpoint.ts";
import { binomialPValue, reachesAlpha } from "../statistics/binomial.ts";
import type { PositionFinding } from "./checks.ts";
import type { UnblindedBallot } from "./evidence.ts";
import { groupBy } from "./observations.ts";

/**
 * How often each serving position was chosen, per question with a choice; control pairs too, since
 * position has nothing to do with what a cup holds.
 */
export function positionFindings(
  endpoints: readonly Endpoint[],
  ballots: readonly UnblindedBallot[],
  alpha: number,
): PositionFinding[] {
  return endpoints.flatMap((endpoint) => {
    const set = setOf(endpoint);
    if (set === null || endpoint.kind === "attribute-score") return [];
    const choices = choicesOf(endpoint, ballots);
    if (choices.length === 0) return [];
    const first = firstPlace(set);
    const places = cupsOfSet({ kind: set }) - first + 1;
    const counts = Array.from({ length: places }, (_, i) => countAt(choices, first + i));
    const pValue = unevenPValue(counts, choices.length);
    return [
      {
        set,
        endpointId: endpoint.id,
        counts,
        pValue,
        biased: reachesAlpha(pValue, alpha),
        alwaysSame: alwaysSame(choices, places, alpha),
      },
    ];
  });
}

interface Choice {
  seatId: string;
  position: number;
}

function choicesOf(endpoint: Endpoint, ballots: readonly UnblindedBallot[]): Choice[] {
  return ballots.flatMap((ballot) => {
    const answer = ballot.answers[endpoint.id];
    if (ballot.set !== setOf(endpoint) || !answer || !("chosen" in answer)) return [];
    const cup = ballot.cups.find(({ code }) => code === answer.chosen);
    return cup ? [{ seatId: ballot.seatId, position: cup.position }] : [];
  });
}

const countAt = (choices: readonly Choice[], position: number) =>
  choices.filter((choice) => choice.position === position).length;

/**
 * Exact two-sided binomial p of the most uneven position. Of three positions any could have been it,
 * hence times three; of two, one says all.
 */
function unevenPValue(counts: readonly number[], answers: number): number {
  const places = counts.length;
  const each = counts.map((count) => binomialPValue(count, answers, 1 / places, "two"));
  return Math.min(1, Math.min(...each) * (places > 2 ? places : 1));
}

/**
 * Tasters who never left one position. The p is for anyone on the panel doing so at any position by
 * luck, Bonferroni over tasters and positions.
 */
function alwaysSame(choices: readonly Choice[], places: number, alpha: number) {
  const tasters = [...groupBy(choices, ({ seatId }) => seatId)];
  return tasters.flatMap(([seatId, own]) => {
    const position = own[0]?.position ?? 0;
    if (!own.every((choice) => choice.position === position)) return [];
    const pValue = Math.min(1, tasters.length * places ** (1 - own.length));
    return reachesAlpha(pValue, alpha) ? [{ seatId, position, answers: own.length, pValue }] : [];
  });
}
