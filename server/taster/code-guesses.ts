const WRONG_PER_MINUTE = 60;
const MINUTE = 60_000;
const SLOWED_BY = 1000;
const MOST_WAITING = 20;

/** What came of a code: what it opens, or that it opens nothing, also when too many were wrong before. */
export type Guess<Found> =
  | { ok: true; found: Found }
  | { ok: false; refusal: "wrong" | "over" | "crowded" };

/**
 * Looks typed codes up and counts the wrong ones by address. A whole room shares one address, so the
 * limit is wide and only wrong codes count: 60 in a minute. Beyond it the codes of that address, right
 * or wrong, are looked up one at a time, a second apart, until the minute ends; at most 20 wait, and
 * whoever comes then is turned away without a look. So one address tries at most about 120 codes in a
 * minute. Codes from other addresses are neither slowed nor counted with them.
 */
export function countGuesses(clock: () => Date, slowedBy = SLOWED_BY) {
  let minute = 0;
  let counted = new Map<string, number>();
  const queues = new Map<string, Queue>();
  const startOver = () => {
    const present = Math.floor(clock().getTime() / MINUTE);
    if (present === minute) return;
    minute = present;
    counted = new Map();
  };
  const count = (address: string, change: number) =>
    counted.set(address, Math.max(0, (counted.get(address) ?? 0) + change));
  return {
    /** Looks a code up with `find`, which gives undefined for a code that opens nothing. */
    lookUp: async <Found>(
      address: string,
      find: () => Promise<Found | undefined>,
    ): Promise<Guess<Found>> => {
      startOver();
      const over = (counted.get(address) ?? 0) >= WRONG_PER_MINUTE;
      if (over && !(await waitInTurn(queues, address, slowedBy))) {
        return { ok: false, refusal: "crowded" };
      }
      // Counted before it is known to be wrong, so that many at once don't slip through.
      const counts = counted;
      count(address, 1);
      const found = await find();
      if (found === undefined) return { ok: false, refusal: over ? "over" : "wrong" };
      if (counts === counted) count(address, -1);
      return { ok: true, found };
    },
  };
}

export type Guesses = ReturnType<typeof countGuesses>;

interface Queue {
  waiting: number;
  last: Promise<void>;
}

/** Waits until a second has passed since the one before; false at once when too many wait. */
async function waitInTurn(
  queues: Map<string, Queue>,
  address: string,
  milliseconds: number,
): Promise<boolean> {
  const queue = queues.get(address) ?? { waiting: 0, last: Promise.resolve() };
  if (queue.waiting >= MOST_WAITING) return false;
  queues.set(address, queue);
  queue.waiting += 1;
  queue.last = queue.last.then(
    () => new Promise<void>((resolve) => setTimeout(resolve, milliseconds)),
  );
  await queue.last;
  queue.waiting -= 1;
  if (queue.waiting === 0) queues.delete(address);
  return true;
}
