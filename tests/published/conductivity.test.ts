import { conductivity } from "../../src/water/conductivity.ts";
import { numberOf } from "./arguments.ts";
import { testPublished } from "./published-checks.ts";
import { analysedWater, solution } from "./waters.ts";

testPublished("conductivity.json", {
  electrolyte: (name, molar) => conductivity(solution(name, numberOf(molar)), 25),
  equivalent: (name, equivalents) => equivalent(name, numberOf(equivalents)),
  // Strong enough to stand out from water's own ions, weak enough to be at the limit.
  limiting: (name) => equivalent(name, 1e-6),
  pureWater: (temperature) => conductivity({}, numberOf(temperature)),
  naturalWater: (name) => conductivity(analysedWater(name), 20),
  waterFactor: (name) =>
    conductivity(analysedWater(name), 25) / conductivity(analysedWater(name), 20),
  temperatureSlope: (name) => {
    const at = (temperature: number) => conductivity(solution(name, 0.01), temperature);
    return (100 * (1 - at(20) / at(25))) / 5;
  },
});

/** Conductivity per equivalent at 25 °C, S cm², without what the water itself conducts. */
function equivalent(name: unknown, equivalents: number): number {
  const own = conductivity(solution(name, equivalents), 25) - conductivity({}, 25);
  return own / 1000 / equivalents;
}
