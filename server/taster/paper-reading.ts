import type { Transaction } from "kysely";
import { z } from "zod";
import { canonicalJson } from "../../src/design/seal.ts";
import type { Answers } from "../../src/experiment/ballot.ts";
import { type Deps, newToken, now } from "../deps.ts";
import type { FieldErrors } from "../form.ts";
import { appendEvent } from "../store/events.ts";
import { dropReading, keepReading, readingOf } from "../store/paper-readings.ts";
import type { Database } from "../store/schema.ts";
import { deskRefusals } from "./desk-refusals.ts";
import type { PaperBallot } from "./paper-ballot.ts";
import { receiveBallot } from "./receive-ballot.ts";

/** One reading of a paper ballot: by whom, as form fields and as answers. */
export interface Reading {
  leadId: string;
  fields: Record<string, string>;
  answers: Answers;
}

export type ReadingOutcome =
  | { ok: true; told: "first" | "taken" }
  | { ok: false; errors: FieldErrors };

/**
 * Keeps a first reading, and takes the ballot in when a second one agrees with it. Of two that
 * differ the newer one waits for its own second.
 */
export async function takeReading(
  deps: Deps,
  ballot: PaperBallot,
  reading: Reading,
): Promise<ReadingOutcome> {
  const before = await deps.store.transaction().execute(async (trx) => {
    const first = await readingOf(trx, ballot.serving.id);
    if (first === canonicalJson(reading.answers)) await dropReading(trx, ballot.serving.id);
    else await keepFirst(trx, ballot, reading, now(deps));
    return first;
  });
  if (before === undefined) return { ok: true, told: "first" };
  if (before !== canonicalJson(reading.answers)) {
    return { ok: false, errors: differences(JSON.parse(before), reading) };
  }
  const { seat, serving } = ballot;
  const received = await receiveBallot(deps, {
    seat,
    ordinal: serving.ordinal,
    fields: reading.fields,
    extras: { key: `paper-${newToken(deps)}`, comment: "", seconds: null, rested: null, ago: 0 },
    by: { leadId: reading.leadId, from: "paper, read twice" },
  });
  if (received.outcome === "stored") return { ok: true, told: "taken" };
  const refusal =
    received.outcome === "refused" ? deskRefusals[received.refusal] : deskRefusals.changed;
  return { ok: false, errors: { set: refusal } };
}

async function keepFirst(
  trx: Transaction<Database>,
  { seat, serving }: PaperBallot,
  { leadId, answers }: Reading,
  at: string,
): Promise<void> {
  await keepReading(trx, {
    presentationId: serving.id,
    answersJson: canonicalJson(answers),
    at,
    leadId,
  });
  await appendEvent(trx, seat.sessionId, {
    at,
    actor: `lead:${leadId}`,
    kind: "paper-read",
    body: { seatId: seat.id, seat: seat.number, ordinal: serving.ordinal },
  });
}

/** Where two readings differ, at each field; the newer one now waits for its second. */
function differences(before: unknown, { answers, fields }: Reading): FieldErrors {
  const earlier = z.record(z.string(), z.unknown()).parse(before);
  const ids = Object.keys(answers).filter(
    (id) =>
      canonicalJson({ of: earlier[id] ?? null }) !== canonicalJson({ of: answers[id] ?? null }),
  );
  const names = ids.map((id) =>
    Object.keys(fields).find((name) => name === id || name.startsWith(`${id}-`)),
  );
  return Object.fromEntries(
    names.map((name) => [
      name ?? "set",
      "The two readings differ here: look at the paper, then send what it says",
    ]),
  );
}
