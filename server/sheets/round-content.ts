import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import { inRounds } from "../rounds.ts";
import type { PouredCup } from "../store/sheets.ts";

/** Labels by pouring round, in order of number: their place on the sheet says nothing of their pot. */
export function labelsInRounds(cups: readonly PouredCup[]): { code: string; round: number }[] {
  return inRounds(cups).flatMap(({ round, cups: own }) =>
    own.map(({ code }) => ({ code, round })).sort(byCode),
  );
}

/** Spare codes by pouring round, in order of number: which pot each belongs to is the pourer's to know. */
export function sparesInRounds(plan: Plan, cups: readonly PouredCup[]) {
  return inRounds(cups).map(({ round, coffeeId, cups: own }) => ({
    round,
    coffee: coffeeName(plan, coffeeId),
    codes: own
      .filter((cup) => cup.spare)
      .sort(byCode)
      .map(({ code }) => code),
  }));
}

export function inPages<Item>(items: readonly Item[], perPage: number): Item[][] {
  return Array.from({ length: Math.ceil(items.length / perPage) }, (_, page) =>
    items.slice(page * perPage, (page + 1) * perPage),
  );
}

function byCode(one: { code: string }, other: { code: string }): number {
  return one.code.localeCompare(other.code);
}
