import type { Match } from "../../src/water/matching.ts";
import type { OneStock } from "../../src/water/one-stock.ts";
import type { Amounts } from "./amounts.ts";
import type { MatchRequest } from "./match-plan.ts";

export interface Item {
  what: string;
  amount: string;
  /** Whether lot and assay belong beside it. */
  weighed: boolean;
}

/** What one arm gets, by the blind label that its water carries. */
export interface ArmSteps {
  label: string;
  /** Says what the arm is: only for whoever makes the waters. */
  meaning: string;
  brewWater: string;
  additions: Item[];
}

/** A match with the ways to write its amounts. */
export interface Work {
  request: MatchRequest;
  match: Match;
  amounts: Amounts;
  dose: (millilitres: number) => string;
}

/** The arm with the minerals in its brew water, if it has any. */
export function beforeArm(work: Work, label: string): ArmSteps {
  const { request, match, amounts, dose } = work;
  const { plan, way } = request;
  const poured = amounts.mass(plan.brewWaterGrams);
  const sham = plain(work, "into the coffee", plan.doseMillilitres);
  const dummy = way === "double-dummy" ? match.doubleDummy : null;
  if (dummy !== null) {
    const each = intoBatch(dummy, plan.brewWaterGrams, request.dosesWeighed);
    const drawn = match.bottles.map((_, index) => ({
      ...bottleItem(index, dose(each)),
      what: `From stock bottle ${index + 1} into the heated brew water`,
    }));
    const brewWater = `${poured} of base water in all, stock included`;
    return { label, meaning: "minerals before brewing", brewWater, additions: [...drawn, ...sham] };
  }
  const mineral = plan.salts.length > 0;
  return {
    label,
    meaning: mineral ? "minerals before brewing" : "no minerals",
    brewWater: `${poured} of ${mineral ? "mineral brew water" : "base water"}`,
    additions: sham,
  };
}

/** The arm with the minerals in its finished coffee, if it has any. */
export function afterArm(work: Work, label: string): ArmSteps {
  const { request, match, amounts, dose } = work;
  const { plan, way } = request;
  const poured = amounts.mass(plan.brewWaterGrams);
  const dummy = way === "double-dummy" ? match.doubleDummy : null;
  const each = dummy === null ? 0 : intoBatch(dummy, plan.brewWaterGrams, request.dosesWeighed);
  const first = plain(work, "into the heated brew water", each * match.bottles.length);
  const doses = match.bottles.map((bottle, index) => ({
    ...bottleItem(index, dose(bottle.doseMillilitres)),
    what: `From stock bottle ${index + 1} into the coffee`,
  }));
  const sham = plain(work, "into the coffee", plan.doseMillilitres);
  const mineral = plan.afterSalts.length > 0;
  return {
    label,
    meaning: mineral ? "minerals after brewing" : "no minerals",
    brewWater: `${poured} of base water${dummy === null ? "" : " in all, addition included"}`,
    additions: [...(dummy === null ? [] : first), ...(mineral ? doses : sham)],
  };
}

/** Base water in as many parts as there are stock bottles, so that the count gives nothing away. */
function plain({ match, dose }: Work, where: string, millilitres: number): Item[] {
  const parts = Math.max(1, match.bottles.length);
  const amount = dose(millilitres / parts);
  return Array.from({ length: parts }, () => ({
    what: `Base water ${where}`,
    amount,
    weighed: false,
  }));
}

/** By weight the same share of the batch's grams as by volume of its millilitres. */
export function intoBatch(
  { beforeMillilitres, batchMillilitres }: OneStock,
  grams: number,
  weighed: boolean,
) {
  return weighed ? (beforeMillilitres / batchMillilitres) * grams : beforeMillilitres;
}

export function bottleItem(index: number, amount: string): Item {
  return { what: `From stock bottle ${index + 1}`, amount, weighed: false };
}
