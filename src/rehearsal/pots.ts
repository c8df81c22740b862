import type { Kit, Pot } from "../design/kit-records.ts";
import type { BrewRecord } from "../experiment/brew-log.ts";
import type { Plan } from "../experiment/plan.ts";
import type { UnblindedPot } from "../report/evidence.ts";
import type { Chance } from "./chance.ts";
import type { Scenario } from "./scenarios.ts";

/** The kit's pots, with a simulated brew each where the plan compares extraction. */
export function brewedPots(
  plan: Plan,
  kit: Kit,
  scenario: Scenario,
  chance: Chance,
): UnblindedPot[] {
  const yields = plan.endpoints.find(({ kind }) => kind === "extraction-yield");
  const effects = yields && scenario.effects.get(yields.id);
  const potSd = scenario.assumptions.yieldPoints / Math.SQRT2;
  return kit.pots.map((pot) => {
    const half = (effects?.get(pot.coffeeId) ?? 0) / 2;
    const percent = USUAL_YIELD + (pot.treatment === "B" ? half : -half) + potSd * chance.normal();
    return {
      coffeeId: pot.coffeeId,
      pair: pot.pair,
      letter: pot.letter,
      treatment: pot.treatment,
      controlPair: pot.controlPair ?? false,
      plannedBrewer: pot.brewerId,
      brew: effects ? brewOf(plan, pot, percent) : null,
      rejected: null,
    };
  });
}

/** Only differences of yields are judged; where they lie doesn't matter. */
const USUAL_YIELD = 20;
const [DOSE, BEVERAGE, WATER, SECONDS] = [50, 800, 1000, 240];

/** A log entry that reads as this extraction yield. */
function brewOf(plan: Plan, pot: Pot, yieldPercent: number): BrewRecord {
  const minerals = plan.treatments[pot.treatment].mineralsInReadingMilligramsPerLitre / 1e4;
  return {
    coffeeId: pot.coffeeId,
    potLetter: pot.letter,
    waterLabel: pot.waterLabel,
    brewer: pot.brewerId,
    doseGrams: DOSE,
    brewWaterGrams: WATER,
    beverageGrams: BEVERAGE,
    brewSeconds: SECONDS,
    tdsReadingsPercent: [(yieldPercent * DOSE) / BEVERAGE + minerals],
    sampleTiming: "no-addition",
    addedGrams: 0,
    note: "",
  };
}
