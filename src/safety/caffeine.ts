/** What one taster is going to drink. */
export interface CaffeinePlan {
  cups: number;
  millilitresPerCup: number;
  /** Milligrams of caffeine per 100 mL of brew; brewed coffee is about 40, strong filter 60–130. */
  milligramsPer100mL?: number | undefined;
  /** Share that is swallowed: 1 swallows everything, 0 spits everything. */
  swallowedFraction?: number | undefined;
  pregnant?: boolean | undefined;
}

export interface CaffeineLoad {
  milligrams: number;
  limitMilligrams: number;
  withinLimit: boolean;
  source: string;
}

/** USDA FoodData Central, brewed coffee: 95 mg per 237 g. */
export const usualCaffeineMilligramsPer100mL = 40;

const singleDoseLimitMilligrams = 200;

/**
 * Caffeine that one taster swallows in a sitting, against 200 mg: for healthy adults the single
 * dose without safety concern, in pregnancy the allowance of the whole day. The limit itself is
 * within. Not a medical judgement; people with other limits go by their own.
 * Source: EFSA NDA Panel, EFSA Journal 2015;13(5):4102.
 */
export function caffeineLoad(plan: CaffeinePlan): CaffeineLoad {
  const strength = plan.milligramsPer100mL ?? usualCaffeineMilligramsPer100mL;
  const millilitres = plan.cups * plan.millilitresPerCup * (plan.swallowedFraction ?? 1);
  const milligrams = (millilitres * strength) / 100;
  return {
    milligrams,
    limitMilligrams: singleDoseLimitMilligrams,
    withinLimit: milligrams <= singleDoseLimitMilligrams * (1 + 1e-12),
    source: plan.pregnant
      ? "EFSA Journal 2015;13(5):4102: up to 200 mg a day, from all sources, in pregnancy"
      : "EFSA Journal 2015;13(5):4102: single doses up to 200 mg for healthy adults",
  };
}
