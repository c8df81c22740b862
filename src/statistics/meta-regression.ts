import { bisect } from "./bisection.ts";
import { normalUpperQuantile, tUpperQuantile } from "./distributions.ts";
import { symmetricInverse } from "./symmetric-inverse.ts";
import type { PooledEffect, Study, SynthesisOptions } from "./synthesis.ts";

/** A study with its values of the explanatory variables; put a 1 among them for an intercept. */
export interface ExplainedStudy extends Study {
  explanatory: readonly number[];
}

export type MetaRegression =
  | { ok: true; coefficients: PooledEffect[]; tauSquared: number; df: number }
  | { ok: false; refusal: "too-few-studies" | "variables-not-separable" };

/**
 * Random-effects meta-regression: what is left between studies once the variables are accounted for
 * (τ²) by restricted maximum likelihood, coefficients by weighted least squares. Interval by Knapp &
 * Hartung (2003, Stat. Med. 22, 2693), t with k − p and never narrower than the studies' own errors
 * allow (their q at least 1), or normal. Needs more studies than
 * variables, and variables none of which is a combination of the others.
 */
export function metaRegression(
  studies: readonly ExplainedStudy[],
  { interval = "hksj", confidence = 0.95 }: Omit<SynthesisOptions, "estimator"> = {},
): MetaRegression {
  const variables = studies[0]?.explanatory.length ?? 0;
  const df = studies.length - variables;
  if (variables === 0 || df < 1) return { ok: false, refusal: "too-few-studies" };
  if (fitAt(studies, 0) === null) return { ok: false, refusal: "variables-not-separable" };
  const tauSquared = restrictedMaximum(studies);
  const fit = fitAt(studies, tauSquared);
  if (fit === null) return { ok: false, refusal: "variables-not-separable" };
  const tail = (1 - confidence) / 2;
  const hksj = interval === "hksj";
  const scale = hksj ? Math.max(1, fit.q / df) : 1;
  const quantile = hksj ? tUpperQuantile(tail, df) : normalUpperQuantile(tail);
  const coefficients = fit.coefficients.map((estimate, i) => {
    const standardError = Math.sqrt(scale * (fit.inverse[i]?.[i] ?? Number.NaN));
    const halfWidth = quantile * standardError;
    return { estimate, standardError, lower: estimate - halfWidth, upper: estimate + halfWidth };
  });
  return { ok: true, coefficients, tauSquared, df };
}

interface Fit {
  coefficients: number[];
  /** (XᵀWX)⁻¹ */
  inverse: number[][];
  /** Σwr² with w = 1/(variance + τ²) and r the residual. */
  q: number;
  /** Slope of the restricted log likelihood in τ², twice over, and the likelihood itself. */
  slope: number;
  likelihood: number;
}

function fitAt(studies: readonly ExplainedStudy[], tauSquared: number): Fit | null {
  const weights = studies.map(({ variance }) => 1 / (variance + tauSquared));
  const crossed = crossProducts(studies, weights);
  const inverse = symmetricInverse(crossed);
  if (inverse === null) return null;
  const pulls = columnsOf(studies).map((column) =>
    sum(column, (x, i) => x * (weights[i] ?? 0) * (studies[i]?.effect ?? 0)),
  );
  const coefficients = inverse.map((row) => sum(row, (entry, j) => entry * (pulls[j] ?? 0)));
  const residuals = studies.map(
    ({ effect, explanatory }) => effect - sum(explanatory, (x, j) => x * (coefficients[j] ?? 0)),
  );
  const q = sum(residuals, (r, i) => (weights[i] ?? 0) * r * r);
  const squared = crossProducts(
    studies,
    weights.map((w) => w * w),
  );
  const trace = sum(inverse, (row, i) => sum(row, (entry, j) => entry * (squared[j]?.[i] ?? 0)));
  return {
    coefficients,
    inverse,
    q,
    slope: sum(residuals, (r, i) => ((weights[i] ?? 0) * r) ** 2) - sum(weights, (w) => w) + trace,
    likelihood: 0.5 * (sum(weights, Math.log) + Math.log(determinant(inverse)) - q),
  };
}

/** The same search as for a single mean: every maximum on a geometric grid, the best one wins. */
function restrictedMaximum(studies: readonly ExplainedStudy[]): number {
  const slope = (tauSquared: number) => fitAt(studies, tauSquared)?.slope ?? 0;
  const likelihood = (tauSquared: number) =>
    fitAt(studies, tauSquared)?.likelihood ?? Number.NEGATIVE_INFINITY;
  const squares = sum(studies, ({ effect }) => effect * effect);
  const largest = 2 * (squares + Math.max(...studies.map(({ variance }) => variance)));
  const grid = Array.from({ length: STEPS + 1 }, (_, i) => largest * 2 ** ((i - STEPS) / 2));
  const maxima = grid.flatMap((to, i) => {
    const from = i === 0 ? 0 : (grid[i - 1] ?? 0);
    return slope(from) > 0 && slope(to) <= 0 ? [bisect((x) => slope(x) > 0, from, to)] : [];
  });
  return [0, ...maxima].reduce((best, candidate) =>
    likelihood(candidate) > likelihood(best) ? candidate : best,
  );
}

const STEPS = 120;

function crossProducts(studies: readonly ExplainedStudy[], weights: readonly number[]): number[][] {
  const columns = columnsOf(studies);
  return columns.map((one) =>
    columns.map((other) => sum(one, (x, i) => x * (other[i] ?? 0) * (weights[i] ?? 0))),
  );
}

function columnsOf(studies: readonly ExplainedStudy[]): number[][] {
  return (studies[0]?.explanatory ?? []).map((_, j) =>
    studies.map(({ explanatory }) => explanatory[j] ?? 0),
  );
}

/** Of a positive definite matrix, by elimination. */
function determinant(matrix: readonly (readonly number[])[]): number {
  const [first, ...rest] = matrix;
  const pivot = first?.[0];
  if (first === undefined || pivot === undefined) return 1;
  const smaller = rest.map((row) =>
    row.slice(1).map((entry, j) => entry - ((row[0] ?? 0) * (first[j + 1] ?? 0)) / pivot),
  );
  return pivot * determinant(smaller);
}

function sum<T>(items: readonly T[], term: (item: T, index: number) => number): number {
  return items.reduce((total, item, i) => total + term(item, i), 0);
}
