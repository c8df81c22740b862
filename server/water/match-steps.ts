import type { Bottle, Match } from "../../src/water/matching.ts";
import type { OneStock } from "../../src/water/one-stock.ts";
import { type SaltName, saltLabel, saltTable } from "../../src/water/salts.ts";
import { type Amounts, decimalsOf } from "./amounts.ts";
import type { MatchRequest } from "./match-plan.ts";

/** A bottle or vessel to fill: what goes into it, in order, and what is done then. */
export interface Vessel {
  heading: string;
  items: Item[];
  afterwards: string;
}

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

export interface MatchSteps {
  vessels: Vessel[];
  arms: [ArmSteps, ArmSteps];
  /** How to dose a beverage that came out lighter or heavier. */
  ratio: string;
}

/** The work of a match in the order in which it is done, for page and paper. */
export function matchSteps(
  request: MatchRequest,
  match: Match,
  amounts: Amounts,
  labels: { before: string; after: string },
): MatchSteps {
  const dose = doseWriter(request, amounts);
  const bottles = match.bottles.map((bottle, index) =>
    stockBottle(request, bottle, index, amounts),
  );
  const work = { request, match, amounts, dose };
  return {
    vessels: [...bottles, ...brewWater(work)],
    arms: [beforeArm(work, labels.before), afterArm(work, labels.after)],
    ratio: ratio(request),
  };
}

interface Work {
  request: MatchRequest;
  match: Match;
  amounts: Amounts;
  dose: (millilitres: number) => string;
}

/** Doses by weight are counted as 1 g/mL, as is the stock that they come from. */
function doseWriter({ dosesWeighed, plan }: MatchRequest, amounts: Amounts) {
  const decimals = decimalsOf(plan.instruments.scaleResolutionGrams);
  return (millilitres: number) =>
    dosesWeighed ? amounts.mass(millilitres, decimals) : amounts.volume(millilitres, 2);
}

function stockBottle(
  { plan, dosesWeighed }: MatchRequest,
  { salts }: Bottle,
  index: number,
  amounts: Amounts,
): Vessel {
  const step = plan.instruments.scaleResolutionGrams;
  const total = dosesWeighed
    ? amounts.mass(plan.stockMillilitres)
    : amounts.volume(plan.stockMillilitres);
  return {
    heading: `Stock bottle ${index + 1}`,
    items: [
      ...salts.map(({ salt, grams }) => saltItem(salt, amounts.salt(grams, step))),
      { what: "Base water, up to a total of", amount: total, weighed: false },
    ],
    afterwards:
      "Shake until clear, close, label with contents, lot and date. Not for drinking undiluted.",
  };
}

function saltItem(salt: SaltName, amount: string): Item {
  const { formula, eNumber } = saltTable[salt];
  const code = eNumber === null ? formula : `${formula}, ${eNumber}`;
  return { what: `${saltLabel(salt)} (${code})`, amount, weighed: true };
}

function brewWater(work: Work): Vessel[] {
  const { request, match, amounts, dose } = work;
  const { plan, way } = request;
  if (way === "double-dummy" || plan.salts.length === 0) return [];
  const total = amounts.mass(plan.batchGrams);
  const heading = "Mineral brew water";
  const afterwards = "Mix, close, draw off by weight for each brew. Shake before drawing.";
  if (way === "one-stock" && match.oneStock !== null) {
    const each = intoBatch(match.oneStock, plan.batchGrams, request.dosesWeighed);
    const drawn = match.bottles.map((_, index) => bottleItem(index, dose(each)));
    const upTo = { what: "Base water, up to a total of", amount: total, weighed: false };
    return [{ heading, items: [...drawn, upTo], afterwards }];
  }
  const step = plan.instruments.scaleResolutionGrams;
  const salts = match.recipe.batch.map(({ salt, grams }) =>
    saltItem(salt, amounts.salt(grams, step)),
  );
  return [
    {
      heading,
      items: [...salts, { what: "Base water", amount: total, weighed: false }],
      afterwards,
    },
  ];
}

/** By weight the same share of the batch's grams as by volume of its millilitres. */
function intoBatch(
  { beforeMillilitres, batchMillilitres }: OneStock,
  grams: number,
  weighed: boolean,
) {
  return weighed ? (beforeMillilitres / batchMillilitres) * grams : beforeMillilitres;
}

function bottleItem(index: number, amount: string): Item {
  return { what: `From stock bottle ${index + 1}`, amount, weighed: false };
}

function beforeArm(work: Work, label: string): ArmSteps {
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

function afterArm(work: Work, label: string): ArmSteps {
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

function ratio({ plan, dosesWeighed }: MatchRequest): string {
  const per100 = (100 * plan.doseMillilitres) / plan.beverageGrams;
  const unit = dosesWeighed ? "by weight" : "by volume";
  return (
    `Weigh every beverage first, then dose and sham in proportion: ${per100.toFixed(3)} % of it in ` +
    `all (${unit}). The amounts given are for the beverage of the trial brew.`
  );
}
