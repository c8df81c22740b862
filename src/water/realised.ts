import type { Instruments, Passage } from "./cup.ts";
import { millilitresOfWater } from "./density.ts";
import { type MatchPlan, transferOf } from "./match-plan.ts";
import type { MatchRecipe } from "./match-recipe.ts";
import type { Mixture } from "./mixture.ts";
import { onScale, type Weighing } from "./weighing.ts";

/** Water and bottle as weighed, or as the plan's weighings rounded to the scale's display. */
export function realised(plan: MatchPlan, recipe: MatchRecipe) {
  const { weighed, instruments, stockMillilitres, doseMillilitres } = plan;
  const put = (salts: readonly (Weighing & { purity: number })[], known?: readonly Weighing[]) =>
    // What the recipe doesn't ask for is not put on the scale.
    salts
      .filter(({ grams }) => grams > 0)
      .map(({ salt, grams, purity }) => {
        const entry = known?.find((weighing) => weighing.salt === salt);
        const planned = onScale(grams, instruments.scaleResolutionGrams);
        return { salt, purity, grams: entry?.grams ?? planned };
      });
  const batch: Mixture = {
    weighings: put(recipe.batch, weighed.batch),
    millilitres: millilitresOfWater(plan.batchGrams, plan.temperature),
  };
  const stock: Mixture = {
    weighings: put(recipe.stock, weighed.stock),
    millilitres: stockMillilitres,
  };
  return { batch, stock, doseMillilitres: weighed.doseMillilitres ?? doseMillilitres };
}

/** Beverage, sham dose and kettle loss of the before arm, as logged or planned. */
export function passageOf(plan: MatchPlan): Omit<Passage, "transfer"> {
  return {
    beverage: plan.weighed.beverageGrams?.before ?? plan.beverageGrams,
    shamMillilitres: plan.weighed.shamMillilitres ?? plan.doseMillilitres,
    kettleLossFraction: plan.kettleLossFraction,
  };
}

/** The plan's instruments in the units of {@link Instruments}. */
export function instrumentsOf({ instruments, temperature }: MatchPlan): Instruments {
  return {
    ...instruments,
    batchMillilitres: millilitresOfWater(instruments.batchGrams, temperature),
    transfer: (ion) => transferOf(instruments.transfer, ion, 0),
  };
}
