import { z } from "zod";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import {
  type Assumptions,
  LARGEST_SHARE,
  usualAssumptions,
} from "../../src/rehearsal/assumptions.ts";
import { errorsByField, type FieldErrors, numberFrom } from "../form.ts";
import type { Draft } from "../store/experiments.ts";

export type RehearsalReading =
  | { ok: true; assumptions: Assumptions; panels: number }
  | { ok: false; errors: FieldErrors };

/** What the form holds before anyone typed, or for assumptions that were rehearsed. */
export function rehearsalDraft(plan: Plan, assumptions?: Assumptions, panels?: number): Draft {
  const own = assumptions ?? usualAssumptions(plan);
  return {
    expectedEffect: plain(own.expectedEffect * unitOf(plan)),
    guessers: plain(own.guessers * 100),
    leavers: plain(own.leavers * 100),
    sensitivitySd: String(own.sensitivitySd),
    potSdLogit: String(own.potSdLogit),
    scorePoints: String(own.scorePoints),
    yieldPoints: String(own.yieldPoints),
    panels: String(panels ?? 1000),
  };
}

const ask = "Give a number from 0 to 100";
const outOf100 = z.number(ask).min(0, ask).max(100, ask);
const spread = (most: number) => {
  const within = `Give a number above 0, at most ${most}`;
  return z.number(within).gt(0, within).max(most, within);
};
const choice = (values: readonly number[]) =>
  z.number("Choose one").refine((value) => values.includes(value), "Choose one");

const largest = { share: LARGEST_SHARE * 100, points: 60, yield: 10 };

/** Reads the form under a plan: assumptions and panels, or what is wrong by field. */
export function readRehearsal(plan: Plan, draft: Draft): RehearsalReading {
  const kind = mainOf(plan).kind;
  const most =
    kind === "attribute-score"
      ? largest.points
      : kind === "extraction-yield"
        ? largest.yield
        : largest.share;
  const parsed = z
    .object({
      expectedEffect: spread(most),
      guessers: outOf100,
      leavers: outOf100,
      sensitivitySd: choice([0, 0.3, 0.6]),
      potSdLogit: choice([0, 0.3, 0.6, 1]),
      scorePoints: spread(50),
      yieldPoints: spread(10),
      panels: choice([200, 1000, 10_000]),
    })
    .safeParse(numbersIn({ ...rehearsalDraft(plan), ...draft }));
  if (!parsed.success) return { ok: false, errors: errorsByField(parsed.error) };
  const { panels, expectedEffect, guessers, leavers, ...spreads } = parsed.data;
  return {
    ok: true,
    panels,
    assumptions: {
      ...spreads,
      expectedEffect: expectedEffect / unitOf(plan),
      guessers: guessers / 100,
      leavers: leavers / 100,
    },
  };
}

function numbersIn(draft: Draft) {
  return Object.fromEntries(
    Object.entries(draft).map(([name, text]) => [name, numberFrom(text) ?? undefined]),
  );
}

/** The question that the headline comes from. */
export function mainOf(plan: Plan): Endpoint {
  const primary = plan.endpoints.find(({ role }) => role === "primary");
  if (!primary) throw new Error("A plan has one primary endpoint");
  return primary;
}

/** Shares are typed in percent, points as they are. */
export function unitOf(plan: Plan): number {
  const { kind } = mainOf(plan);
  return kind === "attribute-score" || kind === "extraction-yield" ? 1 : 100;
}

/** A number without the noise of binary fractions. */
export const plain = (value: number) => String(Number(value.toPrecision(6)));
