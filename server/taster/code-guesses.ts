const WRONG_PER_MINUTE = 60;
const MINUTE = 60_000;
const SLOWED_BY = 1000;

/**
 * Counts wrong join codes by address. A whole room shares one address, so the limit is wide and only
 * wrong codes count; beyond it every code waits a second, so that guessing is slow and a right code
 * still opens.
 */
export function countGuesses(clock: () => Date) {
  let minute = 0;
  let wrong = new Map<string, number>();
  const startOver = () => {
    const present = Math.floor(clock().getTime() / MINUTE);
    if (present === minute) return;
    minute = present;
    wrong = new Map();
  };
  const isOver = (address: string) => (wrong.get(address) ?? 0) >= WRONG_PER_MINUTE;
  return {
    /** Waits when the address has guessed too often; call it before looking a code up. */
    slowDown: async (address: string): Promise<void> => {
      startOver();
      if (isOver(address)) await new Promise((resolve) => setTimeout(resolve, SLOWED_BY));
    },
    /** Notes a wrong code; true when the address has gone over the limit. */
    noteWrong: (address: string): boolean => {
      startOver();
      const over = isOver(address);
      wrong.set(address, (wrong.get(address) ?? 0) + 1);
      return over;
    },
  };
}
