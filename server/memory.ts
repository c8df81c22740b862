/** Gives what is remembered of a name under a stamp, or makes it; another stamp replaces it. */
export type Memory<T> = (name: string, stamp: string, make: () => Promise<T>) => Promise<T>;

/**
 * A memory that holds at most so much, the name asked for longest ago going first; whoever asks at
 * the same time waits for the same making. What couldn't be made isn't remembered.
 */
export function makeMemory<T>(most: number, weightOf: (value: T) => number): Memory<T> {
  const kept = new Map<string, { stamp: string; value: Promise<T>; weight: number }>();
  return async (name, stamp, make) => {
    const known = kept.get(name);
    const entry = known?.stamp === stamp ? known : { stamp, value: make(), weight: 0 };
    // The most recently asked for stands last.
    kept.delete(name);
    kept.set(name, entry);
    try {
      const value = await entry.value;
      entry.weight = weightOf(value);
      forget(kept, most);
      return value;
    } catch (error) {
      if (kept.get(name) === entry) kept.delete(name);
      throw error;
    }
  };
}

function forget(kept: Map<string, { weight: number }>, most: number): void {
  let weight = 0;
  for (const entry of kept.values()) weight += entry.weight;
  for (const [name, entry] of kept) {
    if (weight <= most) return;
    kept.delete(name);
    weight -= entry.weight;
  }
}
