import type { Transaction } from "kysely";
import { z } from "zod";
import { questionsFor } from "../../src/experiment/ballot.ts";
import { type Endpoint, endpointSchema, type SetKind } from "../../src/experiment/endpoint.ts";
import type { SessionState } from "../../src/experiment/session.ts";
import { translated, translationsSchema } from "../../src/experiment/translations.ts";
import type {
  JoinableSession,
  Question,
  Questionnaire,
  Seat,
  SeatOffer,
  Serving,
  SittingFacts,
  SittingTimes,
} from "./blind-records.ts";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

/*
 * Everything that a taster's pages read. No query here touches a key, a pot, a secret or what a plan
 * says of treatments and coffees, so nothing that is sent to a phone can tell one cup from another.
 */

export type * from "./blind-records.ts";

type Read = Store | Transaction<Database>;

/** The part of a plan that tasters are asked and told about; the rest is dropped unread. */
const askedSchema = z.object({
  endpoints: z.array(endpointSchema),
  cannotTellAllowed: z.boolean(),
  substances: z.array(z.string()),
  allergens: z.array(z.string()).default([]),
  serving: z
    .object({ palateRestSeconds: z.number().optional(), windowMinutes: z.number().optional() })
    .default({}),
  consentNotes: z.record(z.string(), z.string()).default({}),
  translations: translationsSchema.default({}),
  recipe: z.object({ millilitresPerCup: z.number(), servingTemperatureCelsius: z.number() }),
});

export async function sessionToJoin(
  db: Read,
  joinCode: string,
): Promise<JoinableSession | undefined> {
  const session = await db
    .selectFrom("sessions")
    .select(["id", "state"])
    .where("join_code", "=", joinCode)
    .executeTakeFirst();
  if (session === undefined) return undefined;
  const free = await db
    .selectFrom("seats")
    .select("id")
    .where("session_id", "=", session.id)
    .where("token_hash", "is", null)
    .where("left_at", "is", null)
    .limit(1)
    .executeTakeFirst();
  return { ...session, joinCode, hasRoom: free !== undefined };
}

/**
 * What one seat's sitting amounts to; every seat of a session is served as much. Substances in the
 * taster's language, where the lead has given them in it.
 */
export async function sittingFacts(
  db: Read,
  sessionId: string,
  language: string | null,
): Promise<SittingFacts> {
  const asked = await askedBy(db, sessionId);
  const { recipe, consentNotes, translations } = asked;
  const inLanguage = (words: readonly string[]) =>
    words.map((word) => translated(translations, language, word));
  const served = await db
    .selectFrom("cups")
    .innerJoin("seats", "seats.id", "cups.seat_id")
    .select(({ fn }) => [
      fn.countAll<number>().as("cups"),
      fn.count<number>("cups.presentation_id").distinct().as("sets"),
    ])
    .innerJoin("presentations", "presentations.id", "cups.presentation_id")
    .where("seats.session_id", "=", sessionId)
    .where("seats.number", "=", 1)
    // A set served again is no part of what everyone is asked to taste.
    .where("presentations.repeats", "is", null)
    .executeTakeFirstOrThrow();
  return {
    ...recipe,
    substances: inLanguage(asked.substances),
    allergens: inLanguage(asked.allergens),
    consentNotes,
    sets: Number(served.sets),
    cups: Number(served.cups),
  };
}

export async function seatByToken(db: Read, tokenHash: string): Promise<Seat | undefined> {
  const row = await seatRows(db).where("seats.token_hash", "=", tokenHash).executeTakeFirst();
  return row && asSeat(row);
}

/** A seat as it stands now: inside a transaction, what was read before it may have changed. */
export async function seatById(db: Read, id: string): Promise<Seat | undefined> {
  const row = await seatRows(db).where("seats.id", "=", id).executeTakeFirst();
  return row && asSeat(row);
}

/** When a seat was taken and its session opened. */
export async function sittingTimes(db: Read, seatId: string): Promise<SittingTimes> {
  return await db
    .selectFrom("seats")
    .innerJoin("sessions", "sessions.id", "seats.session_id")
    .select(["sessions.opened_at as openedAt", "seats.joined_at as joinedAt"])
    .where("seats.id", "=", seatId)
    .executeTakeFirstOrThrow();
}

/** A seat by its number, for the desk that types in what a phone shows. */
export async function seatByNumber(
  db: Read,
  sessionId: string,
  number: number,
): Promise<Seat | undefined> {
  const row = await seatRows(db)
    .where("seats.session_id", "=", sessionId)
    .where("seats.number", "=", number)
    .executeTakeFirst();
  return row && asSeat(row);
}

/**
 * What a session asks. The lead's own words come in `language` where they were given in it; where no
 * words are shown, null does.
 */
export async function questionnaire(
  db: Read,
  sessionId: string,
  language: string | null,
): Promise<Questionnaire> {
  const { endpoints, cannotTellAllowed, serving, translations } = await askedBy(db, sessionId);
  const say = (word: string) => translated(translations, language, word);
  const asked = (kind: SetKind) =>
    questionsFor(endpoints, kind).flatMap((endpoint) => asQuestion(endpoint, say));
  return {
    questions: {
      triangle: asked("triangle"),
      "duo-trio": asked("duo-trio"),
      tetrad: asked("tetrad"),
      "three-afc": asked("three-afc"),
      ab: asked("ab"),
    },
    cannotTellAllowed,
    palateRestSeconds: serving.palateRestSeconds ?? null,
    windowMinutes: serving.windowMinutes ?? null,
  };
}

/** A seat's presentations, in the order in which they are served. */
export async function servings(db: Read, seatId: string): Promise<Serving[]> {
  const rows = await trays(db, seatId).execute();
  const cups = await db
    .selectFrom("cups")
    .select(["presentation_id", "code"])
    .where("seat_id", "=", seatId)
    .orderBy("position")
    .execute();
  const codes = new Map<string, string[]>(rows.map((row) => [row.id, []]));
  for (const cup of cups) codes.get(cup.presentation_id)?.push(cup.code);
  const replaced = await replacedCodes(db, seatId);
  return rows.map((row) => asServing(row, codes.get(row.id) ?? [], replaced));
}

/** One presentation of a seat; undefined when the seat has none of that number. */
export async function servingOf(
  db: Read,
  seatId: string,
  ordinal: number,
): Promise<Serving | undefined> {
  const row = await trays(db, seatId)
    .where("presentations.ordinal", "=", ordinal)
    .executeTakeFirst();
  if (row === undefined) return undefined;
  const cups = await db
    .selectFrom("cups")
    .select("code")
    .where("presentation_id", "=", row.id)
    .orderBy("position")
    .execute();
  return asServing(
    row,
    cups.map((cup) => cup.code),
    await replacedCodes(db, seatId),
  );
}

/** Cups of a seat that were poured anew under another code. */
async function replacedCodes(db: Read, seatId: string): Promise<ReplacedCode[]> {
  return await db
    .selectFrom("replaced_codes")
    .innerJoin("cups", "cups.id", "replaced_codes.cup_id")
    .select(["cups.presentation_id", "replaced_codes.code", "replaced_codes.replaced_by as by"])
    .where("cups.seat_id", "=", seatId)
    .orderBy("replaced_codes.replaced_at")
    .execute();
}

interface ReplacedCode {
  presentation_id: string;
  code: string;
  by: string;
}

/** The seat that a code lets another phone take over; undefined when it is spent, late or unknown. */
export async function seatToMove(
  db: Read,
  codeHash: string,
  at: string,
): Promise<SeatOffer | undefined> {
  return await db
    .selectFrom("seat_moves")
    .innerJoin("seats", "seats.id", "seat_moves.seat_id")
    .innerJoin("tasters", "tasters.seat_id", "seats.id")
    .select(["seats.id as seatId", "seats.number", "seats.session_id as sessionId"])
    .select("tasters.language")
    .where("seat_moves.code_hash", "=", codeHash)
    .where("seat_moves.used_at", "is", null)
    .where("seat_moves.expires_at", ">", at)
    .executeTakeFirst();
}

/** The taster's own ballot on a presentation, to compare a repeated one with. */
export async function ownBallot(
  db: Read,
  presentationId: string,
): Promise<{ answersJson: string; comment: string } | undefined> {
  const row = await db
    .selectFrom("ballots")
    .leftJoin("comments", "comments.ballot_id", "ballots.id")
    .select(["ballots.answers_json", "comments.text"])
    .where("ballots.presentation_id", "=", presentationId)
    .executeTakeFirst();
  return row && { answersJson: row.answers_json, comment: row.text ?? "" };
}

function seatRows(db: Read) {
  return db
    .selectFrom("seats")
    .innerJoin("sessions", "sessions.id", "seats.session_id")
    .leftJoin("tasters", "tasters.seat_id", "seats.id")
    .select(["seats.id", "seats.number", "seats.session_id", "seats.left_at"])
    .select(["sessions.state", "sessions.join_code", "sessions.paused_at", "tasters.language"]);
}

interface SeatRow {
  id: string;
  number: number;
  session_id: string;
  left_at: string | null;
  state: SessionState;
  join_code: string | null;
  paused_at: string | null;
  language: string | null;
}

function asSeat(row: SeatRow): Seat {
  return {
    id: row.id,
    number: row.number,
    sessionId: row.session_id,
    state: row.state,
    paused: row.paused_at !== null,
    joinCode: row.join_code ?? "",
    language: row.language ?? "",
    active: row.language !== null && row.left_at === null,
  };
}

async function askedBy(db: Read, sessionId: string): Promise<z.infer<typeof askedSchema>> {
  const row = await db
    .selectFrom("sessions")
    .select("plan_json")
    .where("id", "=", sessionId)
    .executeTakeFirstOrThrow();
  if (row.plan_json === null) throw new Error("A session that can be joined has a plan");
  return askedSchema.parse(JSON.parse(row.plan_json));
}

function asQuestion(endpoint: Endpoint, say: (word: string) => string): Question[] {
  const { id, kind } = endpoint;
  switch (kind) {
    case "overall-difference":
      return [{ id, kind, method: endpoint.method }];
    case "preference":
      return [{ id, kind }];
    case "attribute-difference":
    case "direction":
      return [{ id, kind, attribute: say(endpoint.attribute) }];
    case "attribute-score": {
      const { attribute, lowAnchor, highAnchor } = endpoint;
      return [
        {
          id,
          kind,
          attribute: say(attribute),
          lowAnchor: say(lowAnchor),
          highAnchor: say(highAnchor),
        },
      ];
    }
    case "extraction-yield":
      return [];
  }
}

function trays(db: Read, seatId: string) {
  return db
    .selectFrom("presentations")
    .leftJoin("ballots", "ballots.presentation_id", "presentations.id")
    .select(["presentations.id", "presentations.ordinal", "presentations.set_kind"])
    .select(["presentations.void_reason", "ballots.id as ballot_id"])
    .where("presentations.seat_id", "=", seatId)
    .orderBy("presentations.ordinal");
}

interface TrayRow {
  id: string;
  ordinal: number;
  set_kind: SetKind;
  void_reason: string | null;
  ballot_id: string | null;
}

function asServing(row: TrayRow, codes: string[], replaced: readonly ReplacedCode[]): Serving {
  return {
    id: row.id,
    ordinal: row.ordinal,
    setKind: row.set_kind,
    codes,
    answered: row.ballot_id !== null,
    voided: row.void_reason !== null,
    replaced: replaced
      .filter(({ presentation_id }) => presentation_id === row.id)
      .map(({ code, by }) => ({ code, by })),
  };
}
