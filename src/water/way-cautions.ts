import { type WaterCaution, waterCautions } from "./cautions.ts";
import type { MatchPlan } from "./match-plan.ts";
import type { Bottle, Match } from "./matching.ts";
import { stockCautions } from "./stock.ts";
import type { MatchWay } from "./time-list.ts";
import { weighingCautions } from "./weighing.ts";

/**
 * What to mind of a match when it is made in one of its ways: each bottle as it is really filled,
 * the weighings that are really done, and equipment by the water that really meets it.
 */
export function wayCautions(
  plan: MatchPlan,
  match: Match,
  { way, dosesWeighed }: { way: MatchWay; dosesWeighed: boolean },
): WaterCaution[] {
  const step = plan.instruments.scaleResolutionGrams;
  return [
    ...match.bottles.flatMap((bottle, index) => ofBottle(plan, match, bottle, index)),
    ...split(match),
    ...(way === "weighed" ? weighingCautions(match.recipe.batch, step, "batch") : []),
    ...match.bottles.flatMap(({ salts }) => weighingCautions(salts, step, "stock bottle")),
    ...(dosesWeighed ? smallDose(match, step) : []),
    ...match.cautions.filter(({ code }) => !judgedHere(code, way)),
    ...(way === "double-dummy" ? equipment(plan) : []),
  ];
}

/** A bottle that stands apart and still precipitates does so with what its base water brings. */
function ofBottle(
  plan: MatchPlan,
  { bottles }: Match,
  { salts }: Bottle,
  index: number,
): WaterCaution[] {
  return stockCautions(salts, plan).map((caution) => {
    if (bottles.length < 2 || !caution.code.startsWith("precipitates-")) return caution;
    const text =
      `Bottle ${index + 1}, apart as it is, can still drop a mineral with what the base water brings: ` +
      "make it with distilled water, or take a weaker stock.";
    return { ...caution, text };
  });
}

function judgedHere(code: string, way: MatchWay): boolean {
  if (code === "solubility" || code === "weighing-small") return true;
  if (code.startsWith("precipitates-")) return true;
  return way === "double-dummy" && isEquipment(code);
}

function isEquipment(code: string): boolean {
  return code === "scale" || code === "corrosion";
}

/** With a double dummy kettles meet base water only. */
function equipment({ baseIons }: MatchPlan): WaterCaution[] {
  return waterCautions(baseIons).filter(({ code }) => isEquipment(code));
}

function split({ bottles, cautions }: Match): WaterCaution[] {
  if (bottles.length < 2) return [];
  const single = cautions.find(({ code }) => code.startsWith("precipitates-"));
  if (single === undefined) return [];
  const text =
    `In one bottle these salts would precipitate, so they stand in ${bottles.length}: never pour the ` +
    "bottles together, and give one after the other.";
  return [{ code: "bottles-apart", severity: "caution", text, source: single.source }];
}

/** Steps of the display that a dose should span, as for any weighing. */
const fewestSteps = 100;

function smallDose({ bottles }: Match, stepGrams: number): WaterCaution[] {
  const smallest = Math.min(...bottles.map((bottle) => bottle.doseMillilitres));
  if (bottles.length === 0 || smallest >= fewestSteps * stepGrams) return [];
  const text =
    `A dose of ${smallest.toPrecision(3)} g is under a hundred steps of a ${stepGrams} g scale: take a ` +
    "weaker stock in a larger dose, a finer scale or a pipette.";
  const source = "a hundred display steps keep rounding under 0.5 %";
  return [{ code: "dose-small", severity: "caution", text, source }];
}
