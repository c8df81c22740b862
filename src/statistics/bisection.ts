/** Where `holds` stops to hold between `from` (it does) and `to` (it doesn't), to the last digit. */
export function bisect(holds: (x: number) => boolean, from: number, to: number): number {
  let [low, high] = [from, to];
  for (;;) {
    const middle = low + (high - low) / 2;
    if (middle <= low || middle >= high) return middle;
    if (holds(middle)) low = middle;
    else high = middle;
  }
}
