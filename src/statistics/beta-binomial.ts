import {
  bestProportion,
  logLikelihood,
  profileSlope,
  standardErrorOfProportion,
  type Tally,
  type TasterCount,
  tallyOf,
  total,
} from "./beta-binomial-likelihood.ts";
import { bisect } from "./bisection.ts";

export interface BetaBinomialFit {
  /** Mean probability of a correct answer, μ = a/(a + b). */
  proportion: number;
  /** ρ = 1/(a + b + 1), 0 when tasters are alike; null when nobody answered twice. */
  overdispersion: number | null;
  logLikelihood: number;
  /** The likelihood at ρ = 0, where one probability serves all. */
  binomialLogLikelihood: number;
  /** Of the proportion, from the observed information. */
  standardError: number;
}

/**
 * Beta-binomial by maximum likelihood (Skellam 1948, J. R. Statist. Soc. B 10, 257; Ennis & Bi 1998,
 * J. Sensory Studies 13, 389). Tasters' own probabilities follow a beta distribution; at least one
 * taster, at least one answer each. Boundaries are exact: ρ = 0 where tasters vary no more than one
 * probability explains, ρ = 1 where each was always right or always wrong.
 */
export function fitBetaBinomial(tasters: readonly TasterCount[]): BetaBinomialFit {
  const tally = tallyOf(tasters);
  const binomial = fitBinomial(tally);
  if (tally.longest < 2) return { ...binomial, overdispersion: null };
  const separated = tally.mixed === 0;
  if (separated && (tally.right[0] === 0 || tally.wrong[0] === 0)) return binomial;
  if (separated) return fitSeparated(tally);
  const interior = bestInterior(tally);
  const gain = interior ? interior.logLikelihood - binomial.logLikelihood : 0;
  if (!interior || gain <= ROUNDING * Math.abs(binomial.logLikelihood)) return binomial;
  return { ...interior, binomialLogLikelihood: binomial.logLikelihood };
}

/** A smaller gain in likelihood is arithmetic, not overdispersion: the slope at ρ = 0 may be 0 but for rounding. */
const ROUNDING = 1e-13;

function fitBinomial(tally: Tally): BetaBinomialFit {
  const right = total(tally.right);
  const wrong = total(tally.wrong);
  const proportion = right / (right + wrong);
  const logLikelihood =
    tally.constant + timesLog(right, proportion) + timesLog(wrong, wrong / (right + wrong));
  const standardError = Math.sqrt((proportion * (1 - proportion)) / (right + wrong));
  return {
    proportion,
    overdispersion: 0,
    logLikelihood,
    binomialLogLikelihood: logLikelihood,
    standardError,
  };
}

/** Nobody was both right and wrong: P(all right) < μ for ρ < 1, so the likelihood climbs to ρ = 1. */
function fitSeparated(tally: Tally): BetaBinomialFit {
  const [right = 0, wrong = 0] = [tally.right[0], tally.wrong[0]];
  const proportion = right / tally.tasters;
  return {
    proportion,
    overdispersion: 1,
    logLikelihood: timesLog(right, proportion) + timesLog(wrong, 1 - proportion),
    binomialLogLikelihood: fitBinomial(tally).logLikelihood,
    standardError: Math.sqrt((proportion * (1 - proportion)) / tally.tasters),
  };
}

type InteriorFit = Omit<BetaBinomialFit, "binomialLogLikelihood">;

/** Every rise and fall of the profile likelihood on a grid of ρ brackets a maximum; the best wins. */
function bestInterior(tally: Tally): InteriorFit | null {
  let best: InteriorFit | null = null;
  for (let step = 0; step < STEPS; step++) {
    const [from, to] = [step / STEPS, (step + 1) / STEPS];
    if (profileSlope(tally, from) <= 0) continue;
    if (to < 1 && profileSlope(tally, to) > 0) continue;
    const fit = fitAt(
      tally,
      bisect((rho) => profileSlope(tally, rho) > 0, from, to),
    );
    if (!best || fit.logLikelihood > best.logLikelihood) best = fit;
  }
  return best;
}

const STEPS = 32;

function fitAt(tally: Tally, rho: number): InteriorFit {
  const mu = bestProportion(tally, rho);
  return {
    proportion: mu,
    overdispersion: rho,
    logLikelihood: logLikelihood(tally, mu, rho),
    standardError: standardErrorOfProportion(tally, mu, rho),
  };
}

function timesLog(count: number, probability: number): number {
  return count === 0 ? 0 : count * Math.log(probability);
}
