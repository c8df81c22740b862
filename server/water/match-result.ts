import { conductivity, conductivityModel } from "../../src/water/conductivity.ts";
import { matchAdvice } from "../../src/water/match-advice.ts";
import type { MatchPlan } from "../../src/water/match-plan.ts";
import { type Match, matchMinerals } from "../../src/water/matching.ts";
import { oneStockNeeds } from "../../src/water/one-stock-needs.ts";
import type { SaltRecipe } from "../../src/water/recipe.ts";
import { saltLabel } from "../../src/water/salts.ts";
import type { Needs } from "../../src/water/session-needs.ts";
import { type MatchWay, type TimedTask, timeList } from "../../src/water/time-list.ts";
import { wayCautions } from "../../src/water/way-cautions.ts";
import { type Amounts, amountsIn } from "./amounts.ts";
import { cautionRows } from "./caution-rows.ts";
import { type MatchDraft, unitsOf } from "./match-draft.ts";
import { chosenMismatch, ionRows, verdictView, waterRows } from "./match-findings.ts";
import type { MatchRequest } from "./match-plan.ts";
import { matchSteps } from "./match-steps.ts";
import { wayRows } from "./match-ways.ts";

/** All that page and paper say of a match that can be computed. */
export function matchResult(draft: MatchDraft, request: MatchRequest) {
  const match = matchMinerals(request.plan);
  const amounts = amountsIn(unitsOf(draft));
  const found = chosenMismatch(request, match);
  const { labelBefore: before = "", labelAfter: after = "", firstBrewAt = "" } = draft;
  const labels = { before: before.trim(), after: after.trim() };
  return {
    verdict: verdictView(request, found),
    advice: matchAdvice(request.plan, found, request),
    shortfalls: shortfalls(request),
    ions: ionRows(request, found),
    steps: matchSteps(request, match, amounts, labels),
    ways: wayRows(request, match),
    waters: waterRows(request, match),
    mock: mockCups(request, match, amounts, labels),
    cautions: cautionRows(wayCautions(request.plan, match, request)),
    needs: needs(request, match, amounts),
    times: timeList(request.plan, request.way).map((task) => clockTime(task, firstBrewAt)),
    conductivityModel,
  };
}

export type MatchResult = ReturnType<typeof matchResult>;

/** Where the salts at hand miss the wished ions by more than a tenth of a milligram. */
function shortfalls({ targets }: MatchRequest): string[] {
  const of = (fit: SaltRecipe | null) =>
    Object.entries(fit?.residual ?? {}).flatMap(([ion, left = 0]) => {
      if (Math.abs(left) <= 0.1) return [];
      const way = left > 0 ? "less" : "more";
      return `The salts at hand bring ${Math.abs(left).toFixed(1)} mg/L ${way} ${ion} than wished.`;
    });
  return [...new Set([...of(targets.fit), ...of(targets.otherFit)])];
}

/**
 * What waters and mock cups read with the right bottles, within the model's 3 % (k = 2). The cups
 * alone can't tell that all of both arms is swapped; the brew waters before the additions can.
 */
function mockCups(
  { plan, way }: MatchRequest,
  match: Match,
  amounts: Amounts,
  labels: { before: string; after: string },
) {
  const { mockCups: cups } = match;
  const row = (label: string, what: string, value: number) => ({
    label,
    what,
    predicted: value.toFixed(1),
    range: readingRange(value),
  });
  const water = way === "double-dummy" ? "brew water after its first additions" : "brew water";
  return {
    poured: amounts.mass(plan.beverageGrams),
    ratio: cups.after === 0 ? null : (cups.before / cups.after).toFixed(4),
    rows: [
      row(labels.before, water, conductivity(match.brewWater, 25)),
      row(labels.after, water, conductivity(plan.baseIons, 25)),
      row(labels.before, "mock cup", cups.before),
      row(labels.after, "mock cup", cups.after),
    ],
  };
}

/** The model's 3 %, doubled; never tighter than what air's CO2 and a meter's zero do to pure water. */
function readingRange(value: number): string {
  const margin = Math.max(0.06 * value, 3);
  return `${Math.max(0, value - margin).toFixed(0)} to ${(value + margin).toFixed(0)}`;
}

function needs({ plan, way }: MatchRequest, match: Match, amounts: Amounts) {
  const all = needsOf(plan, match, way);
  const step = plan.instruments.scaleResolutionGrams;
  return [
    { what: "Brews", amount: `${plan.brews.before} + ${plan.brews.after}` },
    { what: "Coffee", amount: amounts.mass(all.coffeeGrams, 0) },
    {
      what: "Base water, for brewing, stocks and shams",
      amount: amounts.mass(all.baseWaterGrams, 0),
    },
    ...all.salts.map(({ salt, grams }) => ({
      what: saltLabel(salt),
      amount: amounts.salt(grams, step),
    })),
    ...(all.batches > 0 ? [{ what: "Batches of brew water", amount: String(all.batches) }] : []),
    ...(all.stocks > 0
      ? [{ what: "Fillings of each stock bottle", amount: String(all.stocks) }]
      : []),
  ];
}

function needsOf(plan: MatchPlan, match: Match, way: MatchWay): Needs {
  const dosed = way === "double-dummy" ? match.doubleDummy : match.oneStock;
  if (way === "weighed" || dosed === null) return match.needs;
  return oneStockNeeds(plan, match.bottles, dosed, way);
}

/** A task with the clock's time, counted from the first brew. */
function clockTime({ minutesBefore, task }: TimedTask, firstBrewAt: string) {
  const [hours = "0", minutes = "0"] = firstBrewAt.trim().split(":");
  const moment = Number(hours) * 60 + Number(minutes) - minutesBefore;
  const day = Math.floor(moment / 1440);
  const ofDay = moment - day * 1440;
  const clock = `${Math.floor(ofDay / 60)}:${String(ofDay % 60).padStart(2, "0")}`;
  return { when: `${dayWords(day)}${clock}`, task };
}

function dayWords(day: number): string {
  if (day === 0) return "";
  if (day > 0) return day === 1 ? "the day after, " : `${day} days after, `;
  return day === -1 ? "the day before, " : `${-day} days before, `;
}
