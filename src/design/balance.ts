/** One coordinate of an order's number in mixed radix, the first coordinate the most significant. */
export function coordinate(radices: readonly number[], order: number, at: number): number {
  const below = radices.slice(at + 1).reduce((product, radix) => product * radix, 1);
  return Math.floor(order / below) % (radices[at] ?? 1);
}

/** The order whose coordinates are the sums of two orders' coordinates, each modulo its radix. */
export function add(radices: readonly number[], one: number, other: number): number {
  return radices.reduce((sum, radix, at) => {
    const digit = (coordinate(radices, one, at) + coordinate(radices, other, at)) % radix;
    return sum * radix + digit;
  }, 0);
}

/** How often each value from 0 to size − 1 occurs. */
export function tallies(
  items: readonly number[],
  size: number,
  value: (item: number) => number,
): number[] {
  const counts = new Array<number>(size).fill(0);
  for (const item of items) counts[value(item)] = (counts[value(item)] ?? 0) + 1;
  return counts;
}

/** The largest count less the smallest: at most one when the counts are as even as can be. */
export function spread(counts: readonly number[]): number {
  return Math.max(...counts) - Math.min(...counts);
}

/** The whole numbers from 0 to count − 1. */
export function range(count: number): number[] {
  return Array.from({ length: count }, (_, at) => at);
}
