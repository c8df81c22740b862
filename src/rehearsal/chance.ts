/** Fast chance for simulations; never for codes, orders or keys. */
export interface Chance {
  /** In [0, 1). */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
}

/**
 * Chance from a whole number, the same for the same seed: sfc32 (Doty-Humphrey's small fast
 * counting generator, 2010), normal numbers by Box & Muller (1958, Ann. Math. Stat. 29, 610).
 */
export function chanceFrom(seed: number): Chance {
  let [a, b, c, counter] = [0, seed | 0, 0x9e3779b9 | 0, 1];
  const uniform = () => {
    const mixed = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + mixed) | 0;
    return (mixed >>> 0) / 2 ** 32;
  };
  for (let round = 0; round < WARM_UP; round += 1) uniform();
  return {
    uniform,
    normal: () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform()),
  };
}

/** Numbers thrown away until neighbouring seeds have nothing in common. */
const WARM_UP = 20;
