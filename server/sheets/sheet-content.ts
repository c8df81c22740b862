import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import type { RoundView } from "../pouring-view.ts";
import { inRounds } from "../rounds.ts";
import type { BrewerPot, PouredCup } from "../store/sheets.ts";
import { inPages } from "./round-content.ts";

/** Codes of one pot with how much to pour; ten a row, to be ticked. */
interface PourPot {
  letter: string;
  rows: string[][];
  spares: string[];
  cups: number;
  millilitres: number;
  /** With the spare cups poured too. */
  millilitresInAll: number;
}

interface PourRound {
  round: number;
  coffee: string;
  pots: PourPot[];
  /** What the button says and sends; null when nothing was or can be recorded. */
  recorded: RoundView | null;
}

interface PourSheet {
  rounds: PourRound[];
  fromMinutes: number | null;
  windowMinutes: number | null;
  /** Times of pouring are still recorded. */
  mayPour: boolean;
}

/** The pour sheet by round, pots in order of their letters, and how long a poured cup may wait. */
export function pourSheet(
  plan: Plan,
  cups: readonly PouredCup[],
  poured: readonly RoundView[],
): PourSheet {
  const rounds = inRounds(cups).map(({ round, coffeeId, cups: own }) => {
    const letters = [...new Set(own.map((cup) => cup.letter))].sort();
    return {
      round,
      coffee: coffeeName(plan, coffeeId),
      pots: letters.map((letter) => pourPot(plan, letter, own)),
      recorded: poured.find((view) => view.round === round) ?? null,
    };
  });
  const { servingFromMinutes, windowMinutes } = plan.serving ?? {};
  return {
    rounds,
    fromMinutes: servingFromMinutes ?? null,
    windowMinutes: windowMinutes ?? null,
    mayPour: poured.some((view) => view.mayPour),
  };
}

const CODES_A_ROW = 10;

function pourPot(plan: Plan, letter: string, cups: readonly PouredCup[]): PourPot {
  const own = cups.filter((cup) => cup.letter === letter);
  const codes = own.filter((cup) => !cup.spare).map((cup) => cup.code);
  const spares = own.filter((cup) => cup.spare).map((cup) => cup.code);
  const perCup = plan.recipe.millilitresPerCup;
  return {
    letter,
    rows: inPages(codes, CODES_A_ROW),
    spares,
    cups: codes.length,
    millilitres: codes.length * perCup,
    millilitresInAll: own.length * perCup,
  };
}

/** The brew sheet: each pot in order with its container, what it gets, and what is added to any. */
export function brewSheet(plan: Plan, pots: readonly BrewerPot[]) {
  return {
    added: plan.substances.length === 0 ? null : plan.substances.join(", "),
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
