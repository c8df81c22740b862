import type { WaterCaution } from "./cautions.ts";
import { conductivity } from "./conductivity.ts";
import { type IonAmounts, type Ions, mixIons } from "./ions.ts";
import { matchAdvice } from "./match-advice.ts";
import { matchCautions } from "./match-cautions.ts";
import { type MatchPlan, sameRecipe } from "./match-plan.ts";
import {
  baseInCup,
  brewWaterIons,
  type MatchRecipe,
  matchRecipe,
  plannedCups,
  pureIons,
} from "./match-recipe.ts";
import { type Mismatch, mismatch } from "./mismatch.ts";
import { doubleDummy, type OneStock, oneStock } from "./one-stock.ts";
import { passageOf, realised } from "./realised.ts";
import { type Needs, sessionNeeds } from "./session-needs.ts";
import { type StockSalt, splitIntoBottles } from "./stock.ts";
import { onScale } from "./weighing.ts";

export interface Match {
  recipe: MatchRecipe;
  /** Bottles that keep, each with what to weigh for the stock's volume; all doses are equal. */
  bottles: Bottle[];
  /** Nominal ions of the finished cups, base water's included, mg/L. */
  predicted: { before: IonAmounts; after: IonAmounts };
  /** Ions of the mineral brew water as made, mg/L. */
  brewWater: IonAmounts;
  mockCups: MockCups;
  mismatch: Mismatch;
  /** Null where the arms don't get the same recipe. */
  oneStock: OneStock | null;
  doubleDummy: OneStock | null;
  needs: Needs;
  cautions: WaterCaution[];
  advice: string[];
}

export interface Bottle {
  salts: (StockSalt & { grams: number })[];
  doseMillilitres: number;
}

/**
 * Predicted conductivity (µS/cm at 25 °C) of both cups made with water instead of coffee: the
 * cheapest end-to-end test of bottles and labels. The before cup reads a little off the after one
 * when the transfer isn't 1, because no grounds hold anything back.
 */
export interface MockCups {
  before: number;
  after: number;
}

/**
 * Matches minerals added before brewing with minerals added after it: what to weigh and measure for
 * both arms, what the cups hold, how far they differ, with which uncertainty, and what to change.
 * Source: mass balance; uncertainty of the first order, JCGM 100:2008.
 */
export function matchMinerals(plan: MatchPlan): Match {
  const recipe = matchRecipe(plan);
  const bottles = bottlesOf(plan, recipe);
  const real = realised(plan, recipe);
  const { doseMillilitres } = real;
  const after = [{ name: "stock", mixture: real.stock, doseMillilitres }];
  const result = mismatch(plan, { batch: real.batch }, after, passageOf(plan));
  const dosed = sameRecipe(plan) ? dosedBottles(plan, bottles) : null;
  return {
    recipe,
    bottles,
    predicted: predictedCups(plan),
    brewWater: brewWaterIons(plan),
    mockCups: mockCups(plan),
    mismatch: result,
    oneStock: dosed && oneStock(plan, dosed),
    doubleDummy: dosed && doubleDummy(plan, dosed),
    needs: sessionNeeds(plan, recipe),
    cautions: matchCautions(plan, recipe, brewWaterIons(plan)),
    advice: matchAdvice(plan, result, { way: "weighed" }),
  };
}

function predictedCups(plan: MatchPlan): Match["predicted"] {
  const { before, after } = plannedCups(plan);
  // The other cup's ions come along with share 0, so that both lists name the same ions.
  const withBase = (added: Ions, other: Ions) =>
    mixIons([
      { ions: added, share: 1 },
      { ions: other, share: 0 },
      { ions: baseInCup(plan), share: 1 },
    ]);
  return { before: withBase(before, after), after: withBase(after, before) };
}

function mockCups(plan: MatchPlan): MockCups {
  const { beverageGrams, doseMillilitres, baseIons } = plan;
  const finished = beverageGrams + doseMillilitres;
  const before = mixIons([
    { ions: brewWaterIons(plan), share: beverageGrams / finished },
    { ions: baseIons, share: doseMillilitres / finished },
  ]);
  const after = mixIons([
    { ions: baseIons, share: 1 },
    { ions: pureIons(plan.afterSalts), share: 1 },
  ]);
  return { before: conductivity(before, 25), after: conductivity(after, 25) };
}

function bottlesOf(plan: MatchPlan, { stock }: MatchRecipe): Bottle[] {
  const salts = stock.map(({ salt, gramsPerLitre, purity }) => ({ salt, gramsPerLitre, purity }));
  const split = splitIntoBottles(salts, plan);
  // The dose stays what it is, so each of n bottles gives a part of it and is n times as strong.
  const strengthen = (salt: StockSalt) => ({
    ...salt,
    gramsPerLitre: salt.gramsPerLitre * split.length,
    grams: (salt.gramsPerLitre * split.length * plan.stockMillilitres) / 1000,
  });
  return split.map((bottle) => ({
    salts: bottle.map(strengthen),
    doseMillilitres: plan.doseMillilitres / split.length,
  }));
}

function dosedBottles(plan: MatchPlan, bottles: Bottle[]) {
  return bottles.map(({ salts, doseMillilitres }, index) => ({
    name: `bottle ${index + 1}`,
    doseMillilitres,
    mixture: {
      millilitres: plan.stockMillilitres,
      weighings: salts.map(({ salt, grams, purity = 1 }) => ({
        salt,
        purity,
        grams: onScale(grams, plan.instruments.scaleResolutionGrams),
      })),
    },
  }));
}
