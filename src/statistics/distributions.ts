/**
 * The one front for probability distributions: every tail and quantile in the program comes from
 * here. Upper tails are computed directly, never as one minus the lower, so that both stay accurate
 * (about 1e-13 relative) down to 1e-300.
 */
export {
  betaLowerQuantile,
  betaLowerTail,
  betaUpperQuantile,
  betaUpperTail,
} from "./distributions/beta.ts";
export {
  binomialLowerQuantile,
  binomialLowerTail,
  binomialProbability,
  binomialUpperQuantile,
  binomialUpperTail,
} from "./distributions/binomial.ts";
export {
  chiSquareLowerQuantile,
  chiSquareLowerTail,
  chiSquareUpperQuantile,
  chiSquareUpperTail,
} from "./distributions/chi-square.ts";
export { fLowerTail, fUpperQuantile, fUpperTail } from "./distributions/f.ts";
export {
  noncentralTLowerTail,
  noncentralTUpperTail,
} from "./distributions/noncentral-t.ts";
export {
  normalDensity,
  normalLogLowerTail,
  normalLowerQuantile,
  normalLowerTail,
  normalUpperQuantile,
  normalUpperTail,
} from "./distributions/normal.ts";
export { tLowerTail, tUpperQuantile, tUpperTail } from "./distributions/t.ts";
