import type { IonName } from "./ions.ts";
import type { MatchPlan } from "./match-plan.ts";
import { ionFractions } from "./salts.ts";

/** How the mineral brew water of one arm is made. */
export type MatchWay = "one-stock" | "weighed" | "double-dummy";

/** One thing to do, by minutes before (negative: after) the first brew. */
export interface TimedTask {
  minutesBefore: number;
  task: string;
}

const day = 24 * 60;

/**
 * When to do what, from buying salts to pouring away. Water with bicarbonate trades CO2 with the air
 * and is made on the day; one without may stand overnight. Source: common practice, no source.
 */
export function timeList(plan: MatchPlan, way: MatchWay): TimedTask[] {
  return [
    {
      minutesBefore: 3 * day,
      task: "Have the salts with their certificates (lot, assay, hydrate).",
    },
    ...stocks(plan, way),
    ...batch(plan, way),
    {
      minutesBefore: 60,
      task: "Mock cups: measure both conductivities before any coffee is ground.",
    },
    { minutesBefore: 20, task: "Heat water under a lid, no longer than needed." },
    {
      minutesBefore: 0,
      task:
        "First brew. For each brew: weigh the beverage, give dose or sham in proportion, stir alike " +
        "in both arms, wait at least 60 seconds, then pour.",
    },
    ...ending(plan),
  ];
}

function stocks(plan: MatchPlan, way: MatchWay): TimedTask[] {
  if (way === "weighed" && plan.afterSalts.length === 0) return [];
  const task = "Make and label the stock bottles, so that all salts dissolve overnight; shake.";
  return [{ minutesBefore: day, task }];
}

function batch(plan: MatchPlan, way: MatchWay): TimedTask[] {
  const base = {
    minutesBefore: 120,
    task: "Set base water aside for both arms, for rinsing and for the sham doses.",
  };
  if (way === "double-dummy" || plan.salts.length === 0) return [base];
  if (brings(plan, "bicarbonate")) {
    const task =
      "Make the mineral brew water: it holds bicarbonate, so keep it closed and use it today.";
    return [{ minutesBefore: 150, task }, base];
  }
  return [
    { minutesBefore: day - 60, task: "Make the mineral brew water and close it well." },
    base,
  ];
}

function ending(plan: MatchPlan): TimedTask[] {
  if (!brings(plan, "bicarbonate")) return [];
  return [{ minutesBefore: -day, task: "Pour away what is left of water with bicarbonate." }];
}

function brings(plan: MatchPlan, ion: IonName): boolean {
  return [...plan.salts, ...plan.afterSalts].some(
    ({ salt }) => ionFractions(salt)[ion] !== undefined,
  );
}
