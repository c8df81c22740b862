import { bisect } from "./bisection.ts";

/** One taster's answers. */
export interface TasterCount {
  correct: number;
  assessments: number;
}

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
  if (!interior || interior.logLikelihood <= binomial.logLikelihood) return binomial;
  return { ...interior, binomialLogLikelihood: binomial.logLikelihood };
}

/**
 * What the likelihood depends on. With γ = 1/(a + b), P(x of n) is C(n, x) times
 * Π(μ + jγ) over j < x, Π(1 − μ + jγ) over j < n − x, divided by Π(1 + jγ) over j < n; so it needs
 * only how many tasters have more than j right, more than j wrong and more than j answers.
 */
interface Tally {
  right: number[];
  wrong: number[];
  answers: number[];
  longest: number;
  /** Tasters both right and wrong at least once. */
  mixed: number;
  tasters: number;
  /** Σ ln C(n, x). */
  constant: number;
}

function tallyOf(tasters: readonly TasterCount[]): Tally {
  const longest = Math.max(...tasters.map((taster) => taster.assessments));
  const right = moreThan(
    tasters.map((taster) => taster.correct),
    longest,
  );
  const wrong = moreThan(
    tasters.map((taster) => taster.assessments - taster.correct),
    longest,
  );
  const answers = moreThan(
    tasters.map((taster) => taster.assessments),
    longest,
  );
  const mixed = (right[0] ?? 0) + (wrong[0] ?? 0) - tasters.length;
  const constant = tasters.reduce((sum, taster) => sum + logChoose(taster), 0);
  return { right, wrong, answers, longest, mixed, tasters: tasters.length, constant };
}

/** For j = 0, 1, …: how many of the counts exceed j. */
function moreThan(counts: readonly number[], longest: number): number[] {
  const exactly = new Array<number>(longest + 1).fill(0);
  for (const count of counts) exactly[count] = (exactly[count] ?? 0) + 1;
  const above: number[] = [];
  let remaining = counts.length;
  for (let j = 0; j < longest; j++) {
    remaining -= exactly[j] ?? 0;
    above.push(remaining);
  }
  return above;
}

function logChoose({ correct, assessments }: TasterCount): number {
  let sum = 0;
  for (let j = 0; j < Math.min(correct, assessments - correct); j++) {
    sum += Math.log((assessments - j) / (j + 1));
  }
  return sum;
}

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

/** Slope in ρ of the likelihood that is already at its best in μ. */
function profileSlope(tally: Tally, rho: number): number {
  const mu = bestProportion(tally, rho);
  let slope = -tally.mixed / (1 - rho);
  for (let j = 1; j < tally.longest; j++) {
    const [p, q, r] = factors(mu, rho, j);
    slope += ((tally.right[j] ?? 0) * (j - mu)) / p;
    slope += ((tally.wrong[j] ?? 0) * (j - 1 + mu)) / q;
    slope -= ((tally.answers[j] ?? 0) * (j - 1)) / r;
  }
  return slope;
}

/** The likelihood is a sum of logarithms of lines in μ, hence concave: Newton within a bracket. */
function bestProportion(tally: Tally, rho: number): number {
  let [low, high] = [0, 1];
  let mu = total(tally.right) / total(tally.answers);
  for (let round = 0; round < 100; round++) {
    const [slope, curvature] = slopeInProportion(tally, mu, rho);
    if (slope > 0) low = mu;
    else high = mu;
    const newton = mu - slope / curvature;
    const next = newton > low && newton < high ? newton : (low + high) / 2;
    if (Math.abs(next - mu) <= 1e-15 * mu) return next;
    mu = next;
  }
  return mu;
}

function slopeInProportion(tally: Tally, mu: number, rho: number): [number, number] {
  let [slope, curvature] = [0, 0];
  for (let j = 0; j < tally.longest; j++) {
    const [p, q] = factors(mu, rho, j);
    const [right, wrong] = [tally.right[j] ?? 0, tally.wrong[j] ?? 0];
    slope += (1 - rho) * (right / p - wrong / q);
    curvature -= (1 - rho) ** 2 * (right / p ** 2 + wrong / q ** 2);
  }
  return [slope, curvature];
}

function fitAt(tally: Tally, rho: number): InteriorFit {
  const mu = bestProportion(tally, rho);
  const [right = 0, wrong = 0] = [tally.right[0], tally.wrong[0]];
  let logLikelihood = tally.constant + right * Math.log(mu) + wrong * Math.log1p(-mu);
  logLikelihood += tally.mixed * Math.log1p(-rho);
  for (let j = 1; j < tally.longest; j++) {
    const [p, q, r] = factors(mu, rho, j);
    logLikelihood += (tally.right[j] ?? 0) * Math.log(p) + (tally.wrong[j] ?? 0) * Math.log(q);
    logLikelihood -= (tally.answers[j] ?? 0) * Math.log(r);
  }
  const standardError = standardErrorOfProportion(tally, mu, rho);
  return { proportion: mu, overdispersion: rho, logLikelihood, standardError };
}

/** From the inverse of the two-by-two observed information in μ and ρ. */
function standardErrorOfProportion(tally: Tally, mu: number, rho: number): number {
  let [ofMu, ofRho, between] = [0, 0, 0];
  for (let j = 0; j < tally.longest; j++) {
    const [p, q, r] = factors(mu, rho, j);
    const right = (tally.right[j] ?? 0) / p ** 2;
    const wrong = (tally.wrong[j] ?? 0) / q ** 2;
    const answers = (tally.answers[j] ?? 0) / r ** 2;
    ofMu += (1 - rho) ** 2 * (right + wrong);
    ofRho += right * (j - mu) ** 2 + wrong * (j - 1 + mu) ** 2 - answers * (j - 1) ** 2;
    between += j * (right - wrong);
  }
  return Math.sqrt(ofRho / (ofMu * ofRho - between ** 2));
}

/** μ + jγ, 1 − μ + jγ and 1 + jγ, all times 1 − ρ, which keeps them finite up to ρ = 1. */
function factors(mu: number, rho: number, j: number): [number, number, number] {
  const rest = 1 - rho;
  return [mu * rest + j * rho, (1 - mu) * rest + j * rho, rest + j * rho];
}

function total(counts: readonly number[]): number {
  return counts.reduce((sum, count) => sum + count, 0);
}

function timesLog(count: number, probability: number): number {
  return count === 0 ? 0 : count * Math.log(probability);
}
