import { z } from "zod";
import { titratedAlkalinity, titratedHardness } from "../../src/water/batch-check.ts";
import { atomicWeights, calciumCarbonateMass, formulaMass } from "../../src/water/elements.ts";
import { logConstant } from "../../src/water/equilibria.ts";
import {
  alkalinity,
  chargeBalance,
  hardness,
  hardnessUnits,
  type IonName,
  ionTable,
} from "../../src/water/ions.ts";
import { guidelineValues } from "../../src/water/limits.ts";
import { ionFractions, saltMass, saltNames, saltTable } from "../../src/water/salts.ts";
import { saturation } from "../../src/water/saturation.ts";
import { numberOf } from "./arguments.ts";
import { formulaOf } from "./formulas.ts";
import { testPublished } from "./published-checks.ts";
import { analysedWater, ionOf } from "./waters.ts";

const saltOf = (value: unknown) => z.enum(saltNames).parse(value);
const elementOf = (value: unknown) =>
  z.enum(["H", "C", "N", "O", "Na", "Mg", "S", "Cl", "K", "Ca"]).parse(value);
const equilibriumOf = (value: unknown) =>
  z
    .enum([
      "firstDissociation",
      "secondDissociation",
      "henry",
      "water",
      "calcite",
      "gypsum",
      "calciumBicarbonate",
      "calciumCarbonate",
    ])
    .parse(value);

testPublished("water-chemistry.json", {
  atomicWeight: (element) => atomicWeights[elementOf(element)],
  saltMass: (salt) => saltMass(saltOf(salt)),
  formulaMass: (formula) => formulaMass(formulaOf(String(formula))),
  ionFraction: (salt, ion) => ionFractions(saltOf(salt))[ionOf(ion)] ?? null,
  hardness: (calcium, magnesium) =>
    hardness({ calcium: numberOf(calcium), magnesium: numberOf(magnesium) }).total,
  alkalinity: (bicarbonate) => alkalinity({ bicarbonate: numberOf(bicarbonate) }),
  hardnessUnit: (unit) => hardnessUnits[unitOf(unit)],
  millimoleIn: (unit) =>
    unit === "mg" ? calciumCarbonateMass : calciumCarbonateMass / hardnessUnits[unitOf(unit)],
  chargeBalance: (water, part) =>
    chargeBalance(analysedWater(water))[z.enum(["cations", "anions", "errorPercent"]).parse(part)],
  minusLog: (equilibrium, temperature) =>
    // The first constant is the dissolved gas's, the pKH that of the gas: both tabulated as they are.
    -logConstant(equilibriumOf(equilibrium), numberOf(temperature)),
  log: (equilibrium, temperature) => logConstant(equilibriumOf(equilibrium), numberOf(temperature)),
  gypsumSolubility: (temperature) => gypsumSolubility(numberOf(temperature)),
  calciteSolubilityInAir: (temperature) => calciteSolubilityInAir(numberOf(temperature)),
  solubility: (salt) => saltTable[saltOf(salt)].solubility,
  titratedHardness: (millilitres, molarity, sample) =>
    titratedHardness(titration(millilitres, molarity, sample)),
  titratedAlkalinity: (millilitres, molarity, sample) =>
    titratedAlkalinity(titration(millilitres, molarity, sample)),
  guideline: (quantity, authority, kind) =>
    guidelineValues.find(
      (guideline) =>
        guideline.quantity === quantity &&
        guideline.authority === authority &&
        guideline.kind.includes(String(kind)),
    )?.value ?? null,
});

const unitOf = (value: unknown) =>
  z.enum(["german", "french", "english", "grainsPerGallon"]).parse(value);

function titration(millilitres: unknown, molarity: unknown, sample: unknown) {
  return {
    millilitres: numberOf(millilitres),
    molarity: numberOf(molarity),
    sampleMillilitres: numberOf(sample),
  };
}

/** Grams of gypsum per litre at which the solution is just saturated. */
function gypsumSolubility(temperature: number): number {
  const millimoles = saturating((amount) => {
    const water = milligrams({ calcium: amount, sulfate: amount });
    return saturation(water, temperature).gypsum;
  });
  return (millimoles * saltMass("calcium-sulfate-dihydrate")) / 1000;
}

/** Milligrams of calcium carbonate per litre of water open to air. */
function calciteSolubilityInAir(temperature: number): number {
  const millimoles = saturating((amount) => {
    const water = milligrams({ calcium: amount, bicarbonate: 2 * amount });
    return saturation(water, temperature, "air").calcite;
  });
  return millimoles * calciumCarbonateMass;
}

/** The amount (mmol/L) at which a rising saturation index crosses zero. */
function saturating(index: (millimoles: number) => number | null): number {
  let [low, high] = [1e-3, 100];
  for (let round = 0; round < 60; round++) {
    const middle = (low + high) / 2;
    if ((index(middle) ?? 0) < 0) low = middle;
    else high = middle;
  }
  return high;
}

function milligrams(millimoles: Partial<Record<IonName, number>>) {
  return Object.fromEntries(
    Object.entries(millimoles).map(([ion, amount]) => [ion, amount * ionTable[ionOf(ion)].mass]),
  );
}
