/** The first digits of pi, 3 included, by Machin's formula (1706) in whole numbers. */
export function digitsOfPi(count: number): number[] {
  const scale = 10n ** BigInt(count + 10);
  const pi = 4n * (4n * inverseTangent(5n, scale) - inverseTangent(239n, scale));
  return [...pi.toString().slice(0, count)].map(Number);
}

/** scale × arctan(1/x). */
function inverseTangent(x: bigint, scale: bigint): bigint {
  let power = scale / x;
  let sum = power;
  for (let divisor = 3n, sign = -1n; power > 0n; divisor += 2n, sign = -sign) {
    power /= x * x;
    sum += (sign * power) / divisor;
  }
  return sum;
}
