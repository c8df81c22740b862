/** One coffee and pair, poured together. */
const roundOf = (cup: { coffeeId: string; pair: number }) => `${cup.coffeeId}/${cup.pair}`;

/** The pouring rounds of some cups or pots, numbered from 1 in order of pouring: sheets and room name them alike. */
export function inRounds<Cup extends { coffeeId: string; pair: number }>(
  cups: readonly Cup[],
): { round: number; coffeeId: string; pair: number; cups: Cup[] }[] {
  const names = [...new Set(cups.map(roundOf))];
  return names.map((name, index) => {
    const own = cups.filter((cup) => roundOf(cup) === name);
    const { coffeeId, pair } = own[0] ?? { coffeeId: "", pair: 0 };
    return { round: index + 1, coffeeId, pair, cups: own };
  });
}
