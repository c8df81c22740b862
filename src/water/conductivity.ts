import type { Species } from "./activity.ts";
import type { Ions } from "./ions.ts";
import { speciate } from "./speciation.ts";

/** Named in every output that carries a predicted conductivity. */
export const conductivityModel =
  "ion equations of McCleskey et al. 2012 (Geochim Cosmochim Acta 77:369–382) with total ionic " +
  "strength and ion pairs; citrate by its limiting conductivity (CRC) and Onsager's law";

/**
 * Predicted electrical conductivity in µS/cm at a temperature in °C (made for 5 to 90), from ions in
 * mg/L: Σ c (λ° − A √I ∕ (1 + B √I)) over the free ions. Natural waters come out within about 3 %,
 * pure 0.01 mol/L KCl 0.8 % high; sodium sulfate alone reads low, by 7 % at 10 meq/L, because the
 * charged pair's own conductivity is left out. Dissolved coffee or CO2 isn't in it.
 * Source: {@link conductivityModel}.
 */
export function conductivity(ions: Ions, temperature: number): number {
  const water = speciate(ions, temperature, "closed");
  const root = Math.sqrt(water.ionicStrength);
  return conductors.reduce((sum, ion) => {
    const molar = quadratic(ion.limiting, temperature) - damping(ion, root, temperature);
    // mol/kg × S cm²/mol: 1000 µS/cm for each unit.
    return sum + 1000 * water.free[ion.species] * molar;
  }, 0);
}

interface Conductor {
  species: Species;
  /** Quadratic in °C: λ° = aT² + bT + c, S cm²/mol. */
  limiting: Quadratic;
  /** A, likewise. */
  slope: Quadratic;
  /** B */
  size: number;
}

type Quadratic = readonly [a: number, b: number, c: number];

const conductors: readonly Conductor[] = [
  conductor("potassium", [0.003046, 1.261, 40.7], [0.00535, 0.9316, 22.59], 1.5),
  conductor("sodium", [0.003763, 0.877, 26.23], [0.00027, 1.141, 32.22], 1.7),
  conductor("calcium", [0.009645, 1.984, 62.28], [0.03174, 2.334, 132.3], 2.8),
  conductor("magnesium", [0.01068, 1.695, 57.16], [0.02453, 1.915, 80.5], 2.1),
  conductor("chloride", [0.003817, 1.337, 40.99], [0.00613, 0.9469, 22.01], 1.5),
  conductor("sulfate", [0.01037, 2.838, 82.37], [0.03324, 5.889, 193.5], 2.6),
  conductor("bicarbonate", [0.000614, 0.9048, 21.14], [-0.00503, 0.8957, 10.97], 0.1),
  conductor("carbonate", [-0.000326, 2.998, 64.03], [-0.00181, 5.542, 120.2], 2.3),
  conductor("hydrogen", [-0.01414, 5.355, 224.2], [-0.00918, 1.842, 39.23], 0.3),
  conductor("hydroxide", [0.003396, 2.925, 121.3], [0.00933, 0.1086, 35.9], 0.01),
  // CRC: 70.2 S cm² per equivalent at 25 °C, here with 2 %/K; the slope is Onsager's for K3-citrate.
  conductor("citrate", [0, 4.212, 105.3], [0, 8.3, 207.5], 1.5),
];

function conductor(species: Species, limiting: Quadratic, slope: Quadratic, size: number) {
  return { species, limiting, slope, size };
}

function damping({ slope, size }: Conductor, root: number, temperature: number): number {
  return (quadratic(slope, temperature) * root) / (1 + size * root);
}

function quadratic([a, b, c]: Quadratic, temperature: number): number {
  return (a * temperature + b) * temperature + c;
}
