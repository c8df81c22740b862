import { type Answers, answersSchema } from "../../src/experiment/ballot.ts";
import { brewRecordSchema, rejectionReasonSchema } from "../../src/experiment/brew-log.ts";
import type { SessionEvent } from "../../src/experiment/event.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type {
  BlindFacts,
  Evidence,
  MixUp,
  UnblindedBallot,
  UnblindedCup,
  UnblindedPot,
} from "../../src/report/evidence.ts";
import type { Store } from "./database.ts";
import { eventsOf } from "./events.ts";
import { importedEvidence } from "./imported-panels.ts";

/**
 * Everything that the analysis of a session reads, with the key opened. Call it only for a session
 * that is unblinded.
 */
export async function evidenceOf(db: Store, sessionId: string, plan: Plan): Promise<Evidence> {
  const imported = await importedEvidence(db, sessionId, plan);
  if (imported !== null) return imported;
  const seats = await db
    .selectFrom("seats")
    .select(({ fn }) => fn.count<number>("id").as("started"))
    .where("session_id", "=", sessionId)
    .where("joined_at", "is not", null)
    .executeTakeFirstOrThrow();
  const expected = await db
    .selectFrom("presentations")
    .innerJoin("seats", "seats.id", "presentations.seat_id")
    .select(({ fn }) => fn.count<number>("presentations.id").as("count"))
    .where("seats.session_id", "=", sessionId)
    .where("seats.joined_at", "is not", null)
    .where("presentations.repeats", "is", null)
    .executeTakeFirstOrThrow();
  return {
    plan,
    seatsStarted: seats.started,
    ballotsExpected: expected.count,
    ballots: await unblindedBallots(db, sessionId),
    pots: await unblindedPots(db, sessionId),
    blind: blindFacts(await eventsOf(db, sessionId)),
    mixUps: await mixUpsOf(db, sessionId),
  };
}

async function unblindedBallots(db: Store, sessionId: string): Promise<UnblindedBallot[]> {
  const cups = await cupsByPresentation(db, sessionId);
  const rows = await db
    .selectFrom("ballots")
    .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
    .innerJoin("presentation_keys", "presentation_keys.presentation_id", "presentations.id")
    .innerJoin("seats", "seats.id", "presentations.seat_id")
    .leftJoin("presentations as voided", "voided.id", "presentations.repeats")
    .select([
      "voided.ordinal as repeats",
      "presentations.id",
      "presentations.seat_id as seatId",
      "presentations.ordinal",
      "presentations.set_kind as set",
      "presentations.void_reason as voidReason",
      "presentation_keys.coffee_id as coffeeId",
      "presentation_keys.pair",
      "presentation_keys.replicate",
      "presentation_keys.control",
      "presentation_keys.odd_position as oddPosition",
      "presentation_keys.fellow_position as fellowPosition",
      "ballots.answers_json as answers",
      "ballots.received_at as submittedAt",
      "ballots.seconds_on_screen as secondsOnScreen",
    ])
    .where("seats.session_id", "=", sessionId)
    .orderBy("seats.number")
    .orderBy("presentations.ordinal")
    .execute();
  return rows.map(({ id, answers, ...row }) => ({
    ...row,
    cups: cups.get(id) ?? [],
    answers: readAnswersJson(answers),
  }));
}

async function mixUpsOf(db: Store, sessionId: string): Promise<MixUp[]> {
  const rows = await db
    .selectFrom("mix_ups")
    .innerJoin("presentations", "presentations.id", "mix_ups.presentation_id")
    .innerJoin("seats", "seats.id", "presentations.seat_id")
    .select(["seats.id as seatId", "presentations.ordinal"])
    .select(["mix_ups.code", "mix_ups.other_code", "mix_ups.resolution"])
    .where("seats.session_id", "=", sessionId)
    .orderBy("seats.number")
    .orderBy("presentations.ordinal")
    .execute();
  return rows.map(({ seatId, ordinal, code, other_code, resolution }) => ({
    seatId,
    ordinal,
    codes: [code, other_code],
    resolution,
  }));
}

function readAnswersJson(json: string): Answers {
  return answersSchema.parse(JSON.parse(json));
}

async function cupsByPresentation(
  db: Store,
  sessionId: string,
): Promise<Map<string, UnblindedCup[]>> {
  const rows = await db
    .selectFrom("cups")
    .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
    .innerJoin("pots", "pots.id", "cup_keys.pot_id")
    .innerJoin("pot_keys", "pot_keys.pot_id", "pots.id")
    .select([
      "cups.presentation_id as presentationId",
      "cups.position",
      "cups.code",
      "pots.letter as potLetter",
      "pot_keys.treatment",
    ])
    .where("pots.session_id", "=", sessionId)
    .orderBy("cups.position")
    .execute();
  const cups = new Map<string, UnblindedCup[]>();
  for (const { presentationId, ...cup } of rows) {
    const own = cups.get(presentationId);
    if (own === undefined) cups.set(presentationId, [cup]);
    else own.push(cup);
  }
  return cups;
}

async function unblindedPots(db: Store, sessionId: string): Promise<UnblindedPot[]> {
  const rows = await db
    .selectFrom("pots")
    .innerJoin("pot_keys", "pot_keys.pot_id", "pots.id")
    .leftJoin("brews", (join) =>
      join.onRef("brews.pot_id", "=", "pots.id").on("brews.attempt", "=", ({ selectFrom, ref }) =>
        selectFrom("brews as newest")
          .select(({ fn }) => fn.max("newest.attempt").as("attempt"))
          .where("newest.pot_id", "=", ref("pots.id")),
      ),
    )
    .select([
      "pots.coffee_id as coffeeId",
      "pots.pair",
      "pots.letter",
      "pots.brewer as plannedBrewer",
      "pot_keys.treatment",
      "pot_keys.control_pair as controlPair",
      "brews.record_json as record",
      "brews.rejected",
    ])
    .where("pots.session_id", "=", sessionId)
    .orderBy("pots.brew_order")
    .execute();
  return rows.map(({ record, rejected, controlPair, ...pot }) => ({
    ...pot,
    controlPair: controlPair === 1,
    brew: record === null ? null : brewRecordSchema.parse(JSON.parse(record)),
    rejected: rejected === null ? null : rejectionReasonSchema.parse(rejected),
  }));
}

/** What the log says about who could know what. */
function blindFacts(events: readonly SessionEvent[]): BlindFacts {
  const openedEarly = events
    .filter((event) => event.kind === "key-opened-early")
    .map((event) => ({ at: event.at, reason: textIn(event.body, "reason") }));
  const leadSawSheets = events
    .filter((event) => event.kind === "sheet-opened-by-lead")
    .map((event) => ({ at: event.at, sheet: textIn(event.body, "sheet") }));
  return { openedEarly, leadSawSheets };
}

function textIn(body: SessionEvent["body"], name: string): string {
  const value = body[name];
  return typeof value === "string" ? value : "";
}
