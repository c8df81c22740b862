import { propagate, rectangularUncertainty } from "../../src/brew/uncertainty.ts";
import { numberOf } from "./arguments.ts";
import { testPublished } from "./published-checks.ts";

testPublished("uncertainty.json", {
  impedance: (quantity, part) => {
    const result = impedance(String(quantity));
    return part === "value" ? result.value : result.standardUncertainty;
  },
  endGauge: (part, index) => {
    const { value, standardUncertainty, contributions } = endGauge();
    const nanometres = (millimetres: number) => 1e6 * millimetres;
    if (part === "value") return value;
    if (part === "uncertainty") return nanometres(standardUncertainty);
    return nanometres(Math.abs(contributions[numberOf(index)]?.contribution ?? 0));
  },
  calibrationStandard: (part) => partOf(calibrationStandard(), part),
  hydroxide: (part) => partOf(hydroxide(), part),
});

/** JCGM 100:2008 H.2, inputs of Table H.2 with their correlations. */
function impedance(quantity: string) {
  const models: Record<string, (volt: number, ampere: number, phase: number) => number> = {
    R: (volt, ampere, phase) => (volt / ampere) * Math.cos(phase),
    X: (volt, ampere, phase) => (volt / ampere) * Math.sin(phase),
    Z: (volt, ampere) => volt / ampere,
  };
  const model = models[quantity];
  if (!model) throw new Error(`No quantity ${quantity}`);
  return propagate(
    model,
    [
      { name: "voltage", value: 4.999, standardUncertainty: 0.0032 },
      { name: "current", value: 0.019661, standardUncertainty: 9.5e-6 },
      { name: "phase", value: 1.04446, standardUncertainty: 0.00075 },
    ],
    [
      { between: [0, 1], coefficient: -0.36 },
      { between: [0, 2], coefficient: 0.86 },
      { between: [1, 2], coefficient: -0.65 },
    ],
  );
}

/** JCGM 100:2008 H.1, l = ls + d − ls (δα·θ + αs·δθ), millimetres. */
function endGauge() {
  const uniform = rectangularUncertainty;
  return propagate(
    (standard, difference, deltaAlpha, deltaTheta, theta, alpha) =>
      standard + difference - standard * (deltaAlpha * theta + alpha * deltaTheta),
    [
      { name: "standard", value: 50.000623, standardUncertainty: 25e-6 },
      { name: "difference", value: 215e-6, standardUncertainty: 9.7e-6 },
      { name: "difference in expansion", value: 0, standardUncertainty: uniform(1e-6) },
      { name: "difference in temperature", value: 0, standardUncertainty: uniform(0.05) },
      { name: "temperature", value: -0.1, standardUncertainty: 0.41 },
      { name: "expansion", value: 11.5e-6, standardUncertainty: uniform(2e-6) },
    ],
  );
}

/** EURACHEM/CITAC CG 4, A1: c = 1000 m P ∕ V, mg/L. */
function calibrationStandard() {
  const volume = Math.hypot(0.1 / Math.sqrt(6), 0.02, rectangularUncertainty(0.084));
  return propagate(
    (milligrams, purity, millilitres) => (1000 * milligrams * purity) / millilitres,
    [
      { name: "mass", value: 100.28, standardUncertainty: 0.05 },
      { name: "purity", value: 0.9999, standardUncertainty: rectangularUncertainty(0.0001) },
      { name: "volume", value: 100, standardUncertainty: volume },
    ],
  );
}

/** EURACHEM/CITAC CG 4, A2: c = 1000 m P ∕ (M V), with the repeatability as a factor of 1. */
function hydroxide() {
  return propagate(
    (repeatability, grams, purity, molarMass, millilitres) =>
      (1000 * repeatability * grams * purity) / (molarMass * millilitres),
    [
      { name: "repeatability", value: 1, standardUncertainty: 0.0005 },
      { name: "mass", value: 0.3888, standardUncertainty: 0.00013 },
      { name: "purity", value: 1, standardUncertainty: 0.00029 },
      { name: "molar mass", value: 204.2212, standardUncertainty: 0.0038 },
      { name: "volume", value: 18.64, standardUncertainty: 0.013 },
    ],
  );
}

function partOf(result: ReturnType<typeof propagate>, part: unknown): number {
  if (part === "value") return result.value;
  if (part === "uncertainty") return result.standardUncertainty;
  return Math.abs(result.contributions.find(({ name }) => name === part)?.contribution ?? 0);
}
