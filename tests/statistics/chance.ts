/** Seeded chance for simulations: sfc32 (Doty-Humphrey's small fast counting generator). */
export function seeded(seed: number): Chance {
  let [a, b, c, counter] = [0, seed | 0, 0x9e3779b9 | 0, 1];
  const uniform = () => {
    const mixed = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + mixed) | 0;
    return (mixed >>> 0) / 2 ** 32;
  };
  for (let i = 0; i < 20; i++) uniform();
  const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  const count = (trials: number, probability: number) => {
    let successes = 0;
    for (let i = 0; i < trials; i++) if (uniform() < probability) successes++;
    return successes;
  };
  return { uniform, normal, count };
}

export interface Chance {
  /** In [0, 1). */
  uniform: () => number;
  /** Standard normal (Box & Muller 1958). */
  normal: () => number;
  /** Binomial, one trial at a time. */
  count: (trials: number, probability: number) => number;
}
