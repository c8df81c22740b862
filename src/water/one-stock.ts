import type { DosedBottle } from "./cup.ts";
import { millilitresOfWater } from "./density.ts";
import { type MatchPlan, transferOf } from "./match-plan.ts";
import { type Mismatch, mismatch } from "./mismatch.ts";
import { passageOf } from "./realised.ts";
import { cationOf } from "./salts.ts";

/** Both arms dosed from the same bottles. */
export interface OneStock {
  /** Of each bottle, mL into the batch of brew water (finished volume). */
  beforeMillilitres: number;
  batchMillilitres: number;
  /** Of each bottle, mL onto the finished coffee. */
  afterMillilitres: number;
  mismatch: Mismatch;
}

/**
 * One stock for both arms: the batch of brew water is dosed from the bottles that dose the coffee,
 * so that weighing, hydrate and purity errors move both cups alike and cancel. The share of stock in
 * the batch is v(1 − ε) ∕ (B·T).
 */
export function oneStock(plan: MatchPlan, bottles: readonly DosedBottle[]): OneStock {
  const batch = millilitresOfWater(plan.batchGrams, plan.temperature);
  return dosedFrom(plan, bottles, batch, plan.kettleLossFraction);
}

/**
 * Double dummy: both arms heat plain base water and get two additions, one after heating and one
 * after brewing; one of the two is stock and the other the same amount of base water. The handler
 * can't tell which, nothing stays in the kettle, and its loss drops out.
 */
export function doubleDummy(plan: MatchPlan, bottles: readonly DosedBottle[]): OneStock {
  const water = millilitresOfWater(plan.brewWaterGrams, plan.temperature);
  return dosedFrom({ ...plan, kettleLossFraction: 0 }, bottles, water, 0);
}

function dosedFrom(
  plan: MatchPlan,
  bottles: readonly DosedBottle[],
  millilitres: number,
  kettleLossFraction: number,
): OneStock {
  const passes = transferOf(plan.transfer, cationOf(firstSalt(plan)), 1);
  const perBottle = plan.doseMillilitres / bottles.length;
  const share = (perBottle * (1 - kettleLossFraction)) / (plan.beverageGrams * passes);
  const before = bottles.map((bottle) => ({ ...bottle, doseMillilitres: share * millilitres }));
  const water = { bottles: before, millilitres };
  return {
    beforeMillilitres: share * millilitres,
    batchMillilitres: millilitres,
    afterMillilitres: perBottle,
    mismatch: mismatch(plan, water, bottles, { ...passageOf(plan), kettleLossFraction }),
  };
}

/** One stock has one dilution, so the first salt's cation sets it; others show in the mismatch. */
function firstSalt({ salts }: MatchPlan) {
  const first = salts[0];
  if (!first) throw new Error("one stock needs a salt");
  return first.salt;
}
