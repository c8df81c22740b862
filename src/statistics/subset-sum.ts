import { commonDivisor } from "./decimals.ts";
import { enumerateLowerTail } from "./subset-enumeration.ts";
import { planProgram, runProgram } from "./subset-program.ts";

/** An exact probability, or why it can't be computed exactly at this size. */
export type ExactProbability = { ok: true; pValue: number } | { ok: false; refusal: string };

/**
 * P(U ≤ limit) for U = Σ wᵢBᵢ, where every positive whole weight enters or not by a fair coin.
 * Sign flips, signed ranks and every other randomisation over signs are this distribution, for
 * Σ ±wᵢ = 2U − Σwᵢ. Exact, by whichever way costs least; refuses what none can do and never samples.
 */
export function subsetSumLowerTail(weights: readonly bigint[], limit: bigint): ExactProbability {
  if (limit < 0n) return { ok: true, pValue: 0 };
  const total = weights.reduce((sum, weight) => sum + weight, 0n);
  if (limit >= total) return { ok: true, pValue: 1 };
  if (2n * limit >= total) return complement(subsetSumLowerTail(weights, total - limit - 1n));
  const divisor = commonDivisor(weights);
  return smallerTail(
    weights.map((weight) => weight / divisor),
    limit / divisor,
    total / divisor,
  );
}

/** U and Σw − U have the same distribution, so P(U ≤ limit) = 1 − P(U ≤ Σw − limit − 1). */
function complement(answer: ExactProbability): ExactProbability {
  return answer.ok ? { ok: true, pValue: 1 - answer.pValue } : answer;
}

function smallerTail(weights: readonly bigint[], limit: bigint, total: bigint): ExactProbability {
  const count = weights.length;
  const enumerable = count <= LARGEST_ENUMERATION;
  const enumerationWork = enumerable ? COST_OF_A_SUBSET * 2 ** (count / 2) : Infinity;
  const programmable = limit <= LARGEST_LIMIT && total <= LARGEST_TOTAL;
  const program = programmable ? planProgram(weights.map(Number), Number(limit)) : null;
  if (program && program.work <= Math.min(LARGEST_PROGRAM, enumerationWork)) {
    return { ok: true, pValue: runProgram(program) };
  }
  if (enumerable) return { ok: true, pValue: enumerateLowerTail(weights, limit) };
  return { ok: false, refusal: refusal(count) };
}

const LARGEST_ENUMERATION = 40;
/** What listing one subset costs, counted in cells of the dynamic program. */
const COST_OF_A_SUBSET = 300;
const LARGEST_PROGRAM = 3e9;
const LARGEST_LIMIT = 2n ** 25n;
const LARGEST_TOTAL = 2n ** 52n;

function refusal(count: number): string {
  return (
    `an exact probability for ${count} values on so fine a scale is out of reach, and none is ` +
    "guessed: round to fewer decimals or give fewer values"
  );
}
