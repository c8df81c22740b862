import type { Bottle, Match } from "../../src/water/matching.ts";
import { type SaltName, saltLabel, saltTable } from "../../src/water/salts.ts";
import { type Amounts, decimalsOf } from "./amounts.ts";
import {
  type ArmSteps,
  afterArm,
  beforeArm,
  bottleItem,
  type Item,
  intoBatch,
  type Work,
} from "./arm-steps.ts";
import type { MatchRequest } from "./match-plan.ts";

/** A bottle or vessel to fill: what goes into it, in order, and what is done then. */
export interface Vessel {
  heading: string;
  items: Item[];
  afterwards: string;
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

function ratio({ plan, dosesWeighed }: MatchRequest): string {
  const per100 = (100 * plan.doseMillilitres) / plan.beverageGrams;
  const unit = dosesWeighed ? "by weight" : "by volume";
  return (
    `Weigh every beverage first, then dose and sham in proportion: ${per100.toFixed(3)} % of it in ` +
    `all (${unit}). The amounts given are for the beverage of the trial brew.`
  );
}
