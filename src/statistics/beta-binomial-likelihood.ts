/** One taster's answers. */
export interface TasterCount {
  correct: number;
  assessments: number;
}

/**
 * What the likelihood depends on. With γ = 1/(a + b), P(x of n) is C(n, x) times
 * Π(μ + jγ) over j < x, Π(1 − μ + jγ) over j < n − x, divided by Π(1 + jγ) over j < n; so it needs
 * only how many tasters have more than j right, more than j wrong and more than j answers.
 */
export interface Tally {
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

export function tallyOf(tasters: readonly TasterCount[]): Tally {
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

/** ln of the likelihood, binomial coefficients included. */
export function logLikelihood(tally: Tally, mu: number, rho: number): number {
  const [right = 0, wrong = 0] = [tally.right[0], tally.wrong[0]];
  let sum = tally.constant + right * Math.log(mu) + wrong * Math.log1p(-mu);
  sum += tally.mixed * Math.log1p(-rho);
  for (let j = 1; j < tally.longest; j++) {
    const [p, q, r] = factors(mu, rho, j);
    sum += (tally.right[j] ?? 0) * Math.log(p) + (tally.wrong[j] ?? 0) * Math.log(q);
    sum -= (tally.answers[j] ?? 0) * Math.log(r);
  }
  return sum;
}

/** Slope in ρ of the likelihood that is already at its best in μ. */
export function profileSlope(tally: Tally, rho: number): number {
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
export function bestProportion(tally: Tally, rho: number): number {
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

/** From the inverse of the two-by-two observed information in μ and ρ. */
export function standardErrorOfProportion(tally: Tally, mu: number, rho: number): number {
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

export function total(counts: readonly number[]): number {
  return counts.reduce((sum, count) => sum + count, 0);
}
