import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { planOutlook } from "../../src/report/planning.ts";
import { caffeineLoad } from "../../src/safety/caffeine.ts";
import { notices } from "../../src/safety/notices.ts";
import { type IonName, ionNames } from "../../src/water/ions.ts";
import { outlookWarnings } from "./outlook-warnings.ts";
import { panelPageOf } from "./panel-size-links.ts";
import { counted } from "./plan-words.ts";
import { type QuestionOutlook, questionOutlook } from "./question-outlook.ts";

/** What a plan can and can't find, as the strip shows it. */
export interface OutlookView {
  /** The panel-size page for the main question; null where the page can't plan its method. */
  panelPage: string | null;
  facts: string[];
  warnings: string[];
  cautions: string[];
  main: QuestionOutlook[];
  others: QuestionOutlook[];
}

/** Puts a plan's chances into words: for these cups, for the process, and for passing as close enough. */
export function outlookInWords(plan: Plan): OutlookView {
  const outlook = planOutlook(plan);
  const inWords = (endpoint: Endpoint) =>
    outlook.endpoints
      .filter(({ endpointId }) => endpointId === endpoint.id)
      .map((of) => questionOutlook(endpoint, of, plan));
  const isMain = ({ role }: Endpoint) => role === "primary";
  const cautions = leadCautions(plan, outlook.cupsPerTaster);
  return {
    panelPage: panelPageOf(plan),
    facts: [
      `${counted(outlook.presentationsPerTaster, "set")} and ${counted(outlook.cupsPerTaster, "cup")} per person, ${outlook.millilitresPerTaster} mL in all`,
      `${counted(outlook.pots, "pot")} to brew, ${counted(outlook.cupsPerSession, "cup")} to pour`,
      caffeineText(outlook.cupsPerTaster, plan.recipe.millilitresPerCup),
    ],
    warnings: [
      ...cautions.filter(({ severity }) => severity === "stop").map(({ text }) => text),
      ...outlookWarnings(plan, outlook),
    ],
    cautions: cautions.filter(({ severity }) => severity !== "stop").map(({ text }) => text),
    main: plan.endpoints.filter(isMain).flatMap(inWords),
    others: plan.endpoints.filter((endpoint) => !isMain(endpoint)).flatMap(inWords),
  };
}

function leadCautions(plan: Plan, cups: number) {
  return notices({
    cups,
    millilitresPerCup: plan.recipe.millilitresPerCup,
    servingTemperature: plan.recipe.servingTemperatureCelsius,
    substances: plan.substances,
    allergens: plan.allergens,
    addedMilligramsPerLitre: mostAdded(plan.treatments),
  }).filter(({ audience }) => audience.includes("lead"));
}

/** Of each ion the most that any cup may hold, as far as the plan says. */
function mostAdded({ A, B }: Plan["treatments"]) {
  const amounts = [A.addedIons ?? {}, B.addedIons ?? {}];
  const most = (ion: IonName) => Math.max(...amounts.map((added) => added[ion] ?? 0));
  return Object.fromEntries(ionNames.map((ion) => [ion, most(ion)]));
}

function caffeineText(cups: number, millilitresPerCup: number): string {
  const { milligrams, limitMilligrams } = caffeineLoad({ cups, millilitresPerCup });
  return `About ${Math.round(milligrams)} mg of caffeine each if every cup is swallowed; ${limitMilligrams} mg is the most for one sitting`;
}
