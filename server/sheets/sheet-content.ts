import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import type { BrewerPot, PouredCup } from "../store/sheets.ts";

/** Codes of one pot with how much to pour. */
interface PourPot {
  letter: string;
  codes: string[];
  spares: string[];
  millilitres: number;
}

interface PourRound {
  round: number;
  coffee: string;
  pots: PourPot[];
}

/** One coffee and pair, poured together. */
export const roundOf = (cup: { coffeeId: string; pair: number }) => `${cup.coffeeId}/${cup.pair}`;

/** The pour sheet by round, pots in order of their letters. */
export function pourSheet(plan: Plan, cups: readonly PouredCup[]): { rounds: PourRound[] } {
  const names = [...new Set(cups.map(roundOf))];
  const rounds = names.map((name, index) => {
    const inRound = cups.filter((cup) => roundOf(cup) === name);
    const letters = [...new Set(inRound.map((cup) => cup.letter))].sort();
    return {
      round: index + 1,
      coffee: coffeeName(plan, inRound[0]?.coffeeId ?? ""),
      pots: letters.map((letter) => pourPot(plan, letter, inRound)),
    };
  });
  return { rounds };
}

function pourPot(plan: Plan, letter: string, cups: readonly PouredCup[]): PourPot {
  const own = cups.filter((cup) => cup.letter === letter);
  const codes = own.filter((cup) => !cup.spare).map((cup) => cup.code);
  const spares = own.filter((cup) => cup.spare).map((cup) => cup.code);
  return { letter, codes, spares, millilitres: codes.length * plan.recipe.millilitresPerCup };
}

/** The brew sheet: each pot in order with its water and what it gets. */
export function brewSheet(plan: Plan, pots: readonly BrewerPot[]) {
  return {
    treatments: [plan.treatments.A, plan.treatments.B],
    pots: pots.map((pot) => ({
      order: pot.brewOrder,
      coffee: coffeeName(plan, pot.coffeeId),
      letter: pot.letter,
      brewer: pot.brewer,
      waterLabel: pot.waterLabel,
      treatment: plan.treatments[pot.treatment].name,
    })),
  };
}

/** The key sheet: each pot with its treatment and every code poured from it. */
export function keySheet(plan: Plan, pots: readonly BrewerPot[], cups: readonly PouredCup[]) {
  return {
    pots: pots.map((pot) => ({
      coffee: coffeeName(plan, pot.coffeeId),
      letter: pot.letter,
      treatment: plan.treatments[pot.treatment].name,
      codes: cups
        .filter((cup) => cup.coffeeId === pot.coffeeId && cup.letter === pot.letter)
        .map((cup) => cup.code)
        .join(" "),
    })),
  };
}
