/**
 * Numbers as exact multiples of a power of ten: value = unit × 10^exponent. A score of 0.1 is meant
 * as one tenth, though no double holds it; sums and ties are exact only on these units.
 */
export interface Grid {
  readonly units: readonly bigint[];
  readonly exponent: number;
}

/** Puts finite numbers on a grid by their shortest decimal text, exactly. */
export function gridOf(values: readonly number[]): Grid {
  return align(values.map(decimalOf));
}

/** The differences a − b of pairs, subtracted in decimals: 0.3 − 0.1 is 0.2 and nothing else. */
export function gridOfDifferences(pairs: readonly (readonly [number, number])[]): Grid {
  const { units, exponent } = gridOf(pairs.flat());
  const differences = pairs.map((_, i) => (units[2 * i] ?? 0n) - (units[2 * i + 1] ?? 0n));
  return { units: differences, exponent };
}

/** The grid's values as doubles, each rounded once. */
export function gridValues(grid: Grid): number[] {
  return grid.units.map((unit) => onGrid(unit, 1n, grid.exponent));
}

/** The number (numerator ÷ denominator) × 10^exponent, correctly rounded. */
export function onGrid(numerator: bigint, denominator: bigint, exponent: number): number {
  const power = 10n ** BigInt(Math.abs(exponent));
  return exponent < 0
    ? quotient(numerator, denominator * power)
    : quotient(numerator * power, denominator);
}

/** numerator ÷ denominator (> 0) as the nearest double. */
export function quotient(numerator: bigint, denominator: bigint): number {
  if (numerator < 0n) return -quotient(-numerator, denominator);
  if (numerator <= SAFE && denominator <= SAFE) return Number(numerator) / Number(denominator);
  // A quotient of some 64 bits, its last one sticky: Number() then rounds half to even, once.
  const shift = Math.max(0, 65 + bitLength(denominator) - bitLength(numerator));
  const scaled = numerator << BigInt(shift);
  const whole = scaled / denominator;
  const sticky = whole * denominator === scaled ? 0n : 1n;
  return timesPowerOfTwo(Number(whole | sticky), -shift);
}

/** Greatest common divisor of the absolute values; 0 when all are 0. */
export function commonDivisor(units: readonly bigint[]): bigint {
  let divisor = 0n;
  for (const unit of units) {
    divisor = gcd(divisor, absolute(unit));
    if (divisor === 1n) return divisor;
  }
  return divisor;
}

/** Least common multiple of positive whole numbers. */
export function commonMultiple(numbers: readonly number[]): bigint {
  let multiple = 1n;
  for (const number of new Set(numbers)) {
    const next = BigInt(number);
    multiple = (multiple / gcd(multiple, next)) * next;
  }
  return multiple;
}

export function absolute(value: bigint): bigint {
  return value < 0n ? -value : value;
}

const SAFE = BigInt(Number.MAX_SAFE_INTEGER);

interface Decimal {
  unit: bigint;
  exponent: number;
}

function decimalOf(value: number): Decimal {
  if (Number.isSafeInteger(value)) return { unit: BigInt(value), exponent: 0 };
  const [mantissa = "0", power = "0"] = String(value).split("e");
  const [whole = "0", fraction = ""] = mantissa.split(".");
  return { unit: BigInt(whole + fraction), exponent: Number(power) - fraction.length };
}

function align(decimals: readonly Decimal[]): Grid {
  const exponent = decimals.reduce((least, decimal) => Math.min(least, decimal.exponent), 0);
  const units = decimals.map(({ unit, exponent: own }) =>
    own === exponent ? unit : unit * 10n ** BigInt(own - exponent),
  );
  return { units, exponent };
}

function gcd(a: bigint, b: bigint): bigint {
  let [larger, smaller] = [a, b];
  while (smaller !== 0n) [larger, smaller] = [smaller, larger % smaller];
  return larger;
}

function bitLength(value: bigint): number {
  return value.toString(16).length * 4;
}

/** In two steps, because 2^−1080 alone is 0 while its product with a large number is not. */
function timesPowerOfTwo(value: number, power: number): number {
  const half = Math.trunc(power / 2);
  return value * 2 ** half * 2 ** (power - half);
}
