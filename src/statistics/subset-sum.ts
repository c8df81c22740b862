import { commonDivisor } from "./decimals.ts";
import { enumerateLowerTail } from "./subset-enumeration.ts";
import { planInversion, runInversion } from "./subset-inversion.ts";
import { planProgram, runProgram } from "./subset-program.ts";

/** An exact probability, or why it can't be computed exactly at this size. */
export type ExactProbability = { ok: true; pValue: number } | { ok: false; refusal: string };

/**
 * P(U ≤ limit) for U = Σ wᵢBᵢ, where every positive whole weight enters or not by a fair coin.
 * Sign flips, signed ranks and every other randomisation over signs are this distribution, for
 * Σ ±wᵢ = 2U − Σwᵢ. Exact: by a dynamic program over the sums, by enumeration where the sums are many
 * and the weights few, or from the transform of the same distribution where the weights are thousands
 * (equal to the program's answer within 1e-12). Refuses what none of them can do; never samples.
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
  const enumeration = enumerable ? COST_OF_A_SUBSET * 2 ** (count / 2) : Infinity;
  const program = total <= LARGEST_TOTAL ? planProgram(weights.map(Number), Number(limit)) : null;
  if (program && program.work <= Math.min(PROMPT, enumeration)) return answer(runProgram(program));
  if (enumerable) return answer(enumerateLowerTail(weights, limit));
  if (!program) return { ok: false, refusal: refusal(count) };
  const inversion = planInversion(program.weights, program.limit);
  const inversionCost = inversion.work * COST_OF_A_FACTOR;
  if (Math.min(program.work, inversionCost) > LARGEST_WORK) {
    return { ok: false, refusal: refusal(count) };
  }
  return answer(inversionCost < program.work ? runInversion(inversion) : runProgram(program));
}

/** All work is counted in cells of the dynamic program, about a nanosecond each. */
const PROMPT = 3e7;
const LARGEST_WORK = 5e9;
const LARGEST_ENUMERATION = 40;
const LARGEST_TOTAL = 2n ** 52n;
const COST_OF_A_SUBSET = 300;
const COST_OF_A_FACTOR = 5;

function answer(pValue: number): ExactProbability {
  return { ok: true, pValue };
}

function refusal(count: number): string {
  return (
    `an exact probability for ${count} values on so fine a scale is out of reach, and none is ` +
    "guessed: round to fewer decimals (0.2, not 0.19999999999999998) or give fewer values"
  );
}
