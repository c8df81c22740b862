import type { z } from "zod";
import { conductivity, conductivityModel } from "../water/conductivity.ts";
import { alkalinity, hardness, type Ions } from "../water/ions.ts";
import type { MatchPlan } from "../water/match-plan.ts";
import { type Match, matchMinerals } from "../water/matching.ts";
import { likelyStep } from "../water/weighing-uncertainty.ts";
import { defineCalculator, type Refusal } from "./calculator.ts";
import { matchInput, matchOutput } from "./match-minerals-fields.ts";

export const matchMineralsCalculator = defineCalculator({
  name: "match-minerals",
  summary: "What to weigh and dose so that minerals before and after brewing match in the cup.",
  input: matchInput,
  output: matchOutput,
  compute: (request) => {
    const refused = refuse(request);
    if (refused) return refused;
    const plan = planOf(request);
    return present(plan, matchMinerals(plan));
  },
});

type Request = z.output<typeof matchInput>;

function refuse(request: Request): Refusal | null {
  const { doseGrams: dose, brewWaterGrams: brewWater, beverageGrams: beverage } = request;
  if (beverage > brewWater + dose) {
    const message = "Check the masses: the beverage weighs more than brew water and dose together.";
    return { refused: [{ path: ["beverageGrams"], message }] };
  }
  if (request.doseMillilitres > beverage) {
    const message = "Check the dose: it is larger than the beverage.";
    return { refused: [{ path: ["doseMillilitres"], message }] };
  }
  const amounts = [...request.salts, ...(request.afterSalts ?? [])];
  if (amounts.some((entry) => entry.milligramsPerLitre > 0)) return null;
  return { refused: [{ path: ["salts"], message: "Give at least one salt with an amount." }] };
}

function planOf(request: Request): MatchPlan {
  const { instruments: known } = request;
  const scaleGrams = known.scaleGrams ?? 0;
  return {
    ...request,
    afterSalts: request.afterSalts ?? request.salts,
    batchGrams: request.batchGrams ?? request.brewWaterGrams,
    stockMillilitres: request.stockMillilitres ?? request.doseMillilitres,
    instruments: {
      scaleGrams,
      scaleResolutionGrams: known.scaleResolutionGrams ?? likelyStep(scaleGrams),
      pipetteMillilitres: known.pipetteMillilitres ?? 0,
      yieldGrams: known.yieldGrams ?? 0,
      batchGrams: known.batchGrams ?? 0,
      stockMillilitres: known.stockMillilitres ?? 0,
      kettleLossFraction: known.kettleLossFraction ?? 0,
      transfer: known.transfer ?? 0,
    },
  };
}

function present(plan: MatchPlan, match: Match) {
  const { recipe, predicted, mismatch: found } = match;
  return {
    before: {
      concentrationFactor: commonFactor(plan, match),
      batch: recipe.batch.map(({ purity: _, ...entry }) => entry),
      batchGrams: plan.batchGrams,
      shamMillilitres: plan.doseMillilitres,
      ions: match.brewWater,
      properties: properties(match.brewWater),
    },
    after: {
      stock: recipe.stock.map(({ purity: _, ...entry }) => entry),
      stockMillilitres: plan.stockMillilitres,
      doseMillilitres: plan.doseMillilitres,
      bottles: match.bottles.map(({ salts, doseMillilitres }) => ({
        salts: salts.map(({ purity: _, ...entry }) => entry),
        doseMillilitres,
      })),
    },
    predicted,
    predictedProperties: {
      before: properties(predicted.before),
      after: properties(predicted.after),
    },
    mockCups: match.mockCups,
    conductivityModel,
    mismatch: found,
    oneStock: match.oneStock,
    doubleDummy: match.doubleDummy,
    needs: match.needs,
    warnings: match.cautions.map((caution) => caution.text),
    cautions: match.cautions,
    advice: match.advice,
  };
}

/** The factor that all salts share, null when their ions pass the bed differently. */
function commonFactor({ beverageGrams: beverage, doseMillilitres }: MatchPlan, match: Match) {
  const factors = [...new Set(match.recipe.batch.map((entry) => entry.concentrationFactor))];
  if (factors.length === 0) return (beverage + doseMillilitres) / beverage;
  return factors.length === 1 ? (factors[0] ?? null) : null;
}

function properties(ions: Ions) {
  return {
    totalHardness: hardness(ions).total,
    alkalinity: alkalinity(ions),
    conductivity: conductivity(ions, 25),
  };
}
