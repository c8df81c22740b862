import {
  type Amounts,
  activityCoefficient,
  ionicStrength,
  neutralActivityCoefficient,
  type Species,
} from "./activity.ts";
import { constant } from "./equilibria.ts";
import { type Paired, pairAt } from "./ion-pairs.ts";
import { type IonName, type Ions, ionTable } from "./ions.ts";
import { pairConstants } from "./pair-constants.ts";

/**
 * Carbon dioxide: `closed` as just made from dissolved bicarbonate salts, nothing lost or gained;
 * `air` after it has come to rest with the open air (10^−3.4 atm).
 */
export type CarbonDioxide = "closed" | "air";

export interface Speciation {
  /** Free concentrations, mol/kg. */
  free: Amounts;
  /** mol/kg */
  ionicStrength: number;
  pH: number;
  /** Activity of a free species. */
  activity(species: Species): number;
}

const carbonDioxideOfAir = 10 ** -3.4;

/**
 * Free ions and ion pairs of a water at a temperature (°C) from its ions in mg/L (taken as mg/kg):
 * pairs of calcium and magnesium with bicarbonate, carbonate and sulfate, of sodium and potassium
 * with sulfate, by mass action with activities. Citrate is taken as free, so that what it would
 * hold back counts as free calcium (cautious for scale). The alkalinity is bicarbonate's.
 */
export function speciate(ions: Ions, temperature: number, gas: CarbonDioxide): Speciation {
  const totals = molalities(ions);
  let strength = ionicStrength(totals);
  let water = balance(totals, strength, temperature, gas);
  for (let round = 0; round < 50; round++) {
    const next = ionicStrength(water.free);
    if (Math.abs(next - strength) <= 1e-13 + 1e-11 * strength) break;
    strength = next;
    water = balance(totals, strength, temperature, gas);
  }
  return {
    ...water,
    ionicStrength: strength,
    activity: (species) =>
      water.free[species] * activityCoefficient(species, strength, temperature),
  };
}

function molalities(ions: Ions): Amounts {
  const of = (name: IonName) => (ions[name] ?? 0) / 1000 / ionTable[name].mass;
  return {
    calcium: of("calcium"),
    magnesium: of("magnesium"),
    sodium: of("sodium"),
    potassium: of("potassium"),
    bicarbonate: of("bicarbonate"),
    chloride: of("chloride"),
    sulfate: of("sulfate"),
    citrate: of("citrate"),
    carbonate: 0,
    hydrogen: 0,
    hydroxide: 0,
    calciumBicarbonate: 0,
    magnesiumBicarbonate: 0,
    sodiumSulfate: 0,
    potassiumSulfate: 0,
  };
}

/** Pairing and pH at a fixed ionic strength; the pH is bisected on what the gas demands. */
function balance(totals: Amounts, strength: number, temperature: number, gas: CarbonDioxide) {
  const constants = pairConstants(strength, temperature);
  const ofWater = constant("water", temperature);
  const hydrogenActivity = activityCoefficient("hydrogen", strength, temperature);
  const hydroxideActivity = activityCoefficient("hydroxide", strength, temperature);
  const at = (pH: number) => {
    const activity = 10 ** -pH;
    return pairAt(totals, constants, {
      activity,
      hydrogen: activity / hydrogenActivity,
      hydroxide: ofWater / activity / hydroxideActivity,
    });
  };
  const excess = gas === "closed" ? protonExcess : airExcess(strength, temperature);
  const pH = totals.bicarbonate === 0 ? -Math.log10(ofWater) / 2 : bisect((x) => excess(at(x)));
  return { pH, free: at(pH).free };
}

/** Closed: as many moles of carbon as of alkalinity, so CO2 + H⁺ = CO3²⁻ + OH⁻. */
function protonExcess({ carbonDioxide, totalCarbonate, free }: Paired): number {
  return carbonDioxide + free.hydrogen - totalCarbonate - free.hydroxide;
}

/** Open: dissolved CO2 as Henry's law wants it. */
function airExcess(strength: number, temperature: number): (water: Paired) => number {
  const dissolved =
    (constant("henry", temperature) * carbonDioxideOfAir) / neutralActivityCoefficient(strength);
  return (water) => water.carbonDioxide - dissolved;
}

/** The pH at which a falling function crosses zero. */
function bisect(excess: (pH: number) => number): number {
  let [low, high] = [2, 13];
  for (let round = 0; round < 48; round++) {
    const middle = (low + high) / 2;
    if (excess(middle) > 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
