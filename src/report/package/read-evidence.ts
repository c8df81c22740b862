import { z } from "zod";
import type { Answer } from "../../experiment/ballot.ts";
import { brewRecordSchema } from "../../experiment/brew-log.ts";
import { planSchema } from "../../experiment/plan.ts";
import type { Evidence, UnblindedBallot, UnblindedPot } from "../evidence.ts";
import { groupBy } from "../observations.ts";
import {
  answerRow,
  ballotRow,
  cupRow,
  potRow,
  readingRow,
  sessionDocument,
} from "./row-schemas.ts";
import { packageTables, type TableName } from "./tables.ts";

/** A data package as it was unpacked: JSON read, CSV split into rows of text by column. */
export interface RawPackage {
  plan: unknown;
  session: unknown;
  tables: Record<TableName, readonly Readonly<Record<string, string>>[]>;
}

export type EvidenceReading =
  | { ok: true; evidence: Evidence }
  | { ok: false; problems: readonly string[] };

/** Reads the evidence back out of a data package; every problem names its file and row. */
export function readEvidence(raw: RawPackage): EvidenceReading {
  const problems: string[] = [];
  const rows = <Row extends z.ZodType>(name: TableName, schema: Row) =>
    readRows(name, schema, raw.tables[name], problems);
  const tables = {
    pots: rows("pots", potRow),
    readings: rows("readings", readingRow),
    ballots: rows("ballots", ballotRow),
    cups: rows("cups", cupRow),
    answers: rows("answers", answerRow),
  };
  const plan = planSchema.safeParse(raw.plan);
  const session = sessionDocument.safeParse(raw.session);
  if (!plan.success) problems.push(`plan.json: ${z.prettifyError(plan.error)}`);
  if (!session.success) problems.push(`session.json: ${z.prettifyError(session.error)}`);
  if (problems.length > 0 || !plan.success || !session.success) return { ok: false, problems };
  const { origin, ...conduct } = session.data;
  // All of it, optional parts too: what the package forgot would change the findings unseen.
  const evidence: Required<Omit<Evidence, "origin">> = {
    plan: plan.data,
    ...conduct,
    ballots: ballotsFrom(tables),
    pots: potsFrom(tables),
  };
  return { ok: true, evidence: origin === "imported" ? { ...evidence, origin } : evidence };
}

function readRows<Row extends z.ZodType>(
  name: TableName,
  schema: Row,
  rows: readonly unknown[],
  problems: string[],
): z.output<Row>[] {
  return rows.flatMap((row, index) => {
    const parsed = schema.safeParse(row);
    if (parsed.success) return [parsed.data];
    const [issue] = parsed.error.issues;
    const column = issue?.path.join(".") ?? "";
    // The heading is row 1.
    problems.push(`${packageTables[name].name}.csv row ${index + 2}, ${column}: ${issue?.message}`);
    return [];
  });
}

interface Tables {
  pots: z.output<typeof potRow>[];
  readings: z.output<typeof readingRow>[];
  ballots: z.output<typeof ballotRow>[];
  cups: z.output<typeof cupRow>[];
  answers: z.output<typeof answerRow>[];
}

const setKey = (of: { seat: string; presentation: number }) => `${of.seat}/${of.presentation}`;
const potKey = ({ pot }: { pot: { coffeeId: string; letter: string } }) =>
  `${pot.coffeeId}-${pot.letter}`;

function ballotsFrom({ ballots, cups, answers }: Tables): Required<UnblindedBallot>[] {
  const cupsOf = groupBy(cups, setKey);
  const answersOf = groupBy(answers, setKey);
  return ballots.map((row) => ({
    seatId: row.seat,
    ordinal: row.presentation,
    coffeeId: row.coffee,
    pair: row.pair,
    replicate: row.repeat,
    control: row.control,
    set: row.set,
    oddPosition: row.odd_position,
    fellowPosition: row.fellow_position,
    cups: (cupsOf.get(setKey(row)) ?? []).map((cup) => ({
      position: cup.position,
      code: cup.code,
      potLetter: cup.pot.letter,
      treatment: cup.treatment,
    })),
    answers: answersFrom(answersOf.get(setKey(row)) ?? []),
    submittedAt: row.received_at,
    secondsOnScreen: row.seconds_on_screen,
    voidReason: row.void_reason,
    repeats: row.served_again_for,
  }));
}

function answersFrom(rows: Tables["answers"]): UnblindedBallot["answers"] {
  const answers = [...groupBy(rows, ({ endpoint }) => endpoint)].flatMap(([endpoint, cells]) => {
    const answer = answerFrom(cells);
    return answer === null ? [] : [[endpoint, answer] as const];
  });
  return Object.fromEntries(answers);
}

/** One answer from its rows, one a cup; null when they say nothing. */
function answerFrom(rows: Tables["answers"]): Answer | null {
  if (rows.some((row) => row.cannot_tell)) return { cannotTell: true };
  const chosen = rows.find((row) => row.chosen === true);
  if (chosen !== undefined) return { chosen: chosen.code };
  const scores = rows.flatMap(({ code, score }) =>
    score === null ? [] : [[code, score] as const],
  );
  return scores.length === 0 ? null : { scores: Object.fromEntries(scores) };
}

function potsFrom({ pots, readings }: Tables): Required<UnblindedPot>[] {
  const readingsOf = groupBy(readings, potKey);
  return pots.map((row) => ({
    coffeeId: row.pot.coffeeId,
    letter: row.pot.letter,
    pair: row.pair,
    treatment: row.treatment,
    controlPair: row.control_pair,
    plannedBrewer: row.planned_brewer,
    brew: brewFrom(row, readingsOf.get(potKey(row)) ?? []),
    rejected: row.rejected,
  }));
}

/** The brew of a pot; null when none was logged. The brewer's note is no part of the package. */
function brewFrom(row: Tables["pots"][number], readings: Tables["readings"]): UnblindedPot["brew"] {
  if (row.dose_g === null) return null;
  const inOrder = readings.toSorted((one, other) => one.reading - other.reading);
  return brewRecordSchema.parse({
    coffeeId: row.pot.coffeeId,
    potLetter: row.pot.letter,
    waterLabel: row.water_label,
    brewer: row.brewer,
    doseGrams: row.dose_g,
    brewWaterGrams: row.brew_water_g,
    beverageGrams: row.beverage_g,
    brewSeconds: row.brew_s,
    tdsReadingsPercent: inOrder.map(({ tds_percent }) => tds_percent),
    sampleTiming: row.sample,
    addedGrams: row.added_g,
    refractometerZero: row.zero ?? undefined,
    heldMinutes: row.held_min ?? undefined,
    servedCelsius: row.served_c ?? undefined,
    note: "",
  });
}
