import type { Transaction } from "kysely";
import { type Answers, answersSchema } from "../../src/experiment/ballot.ts";
import type { SetKind } from "../../src/experiment/endpoint.ts";
import type { Store } from "./database.ts";
import type { Database } from "./schema.ts";

/*
 * What is kept about the person on one seat. Tasters read it too, so no query here touches a key, a
 * pot, a secret or a plan.
 */

type Read = Store | Transaction<Database>;

/** All that is kept of one seat. */
export interface OwnRecord {
  seat: number;
  /** Null once it has been erased. */
  person: Person | null;
  joinedAt: string | null;
  leftAt: string | null;
  sets: OwnSet[];
}

interface Person {
  name: string;
  language: string;
  agreedAt: string;
  /** SHA-256 of the consent text as it was shown. */
  consentSha256: string;
}

/** A set that was answered; what was answered is left out where it may not be shown yet. */
interface OwnSet {
  set: number;
  receivedAt: string;
  secondsOnScreen: number | null;
  /** It is void, and does not count. */
  voided: boolean;
  kind: SetKind;
  /** Codes in serving order. */
  codes: string[];
  answers?: Answers;
  comment?: string;
}

/** The record of a seat, with its answers and comments only where they may be shown. */
export async function ownRecord(
  db: Read,
  seatId: string,
  show: { answers: boolean },
): Promise<OwnRecord> {
  const row = await db
    .selectFrom("seats")
    .leftJoin("tasters", "tasters.seat_id", "seats.id")
    .select(["seats.number", "seats.joined_at", "seats.left_at"])
    .select(["tasters.alias", "tasters.language", "tasters.consented_at", "tasters.consent_hash"])
    .where("seats.id", "=", seatId)
    .executeTakeFirstOrThrow();
  return {
    seat: row.number,
    person: personOf(row),
    joinedAt: row.joined_at,
    leftAt: row.left_at,
    sets: await ownSets(db, seatId, show.answers),
  };
}

function personOf(row: {
  alias: string | null;
  language: string | null;
  consented_at: string | null;
  consent_hash: string | null;
}): Person | null {
  const { alias, language, consented_at, consent_hash } = row;
  if (alias === null || language === null || consented_at === null || consent_hash === null) {
    return null;
  }
  return { name: alias, language, agreedAt: consented_at, consentSha256: consent_hash };
}

async function ownSets(db: Read, seatId: string, withAnswers: boolean): Promise<OwnSet[]> {
  const rows = await db
    .selectFrom("ballots")
    .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
    .leftJoin("comments", "comments.ballot_id", "ballots.id")
    .select(["presentations.id", "presentations.ordinal", "presentations.void_reason"])
    .select("presentations.set_kind")
    .select(["ballots.received_at", "ballots.seconds_on_screen", "ballots.answers_json"])
    .select("comments.text")
    .where("presentations.seat_id", "=", seatId)
    .orderBy("presentations.ordinal")
    .execute();
  const cups = await db
    .selectFrom("cups")
    .select(["presentation_id", "code"])
    .where("seat_id", "=", seatId)
    .orderBy("position")
    .execute();
  return rows.map((row) => ({
    set: row.ordinal,
    kind: row.set_kind,
    codes: cups.filter((cup) => cup.presentation_id === row.id).map(({ code }) => code),
    receivedAt: row.received_at,
    secondsOnScreen: row.seconds_on_screen,
    voided: row.void_reason !== null,
    ...(withAnswers ? { answers: answersSchema.parse(JSON.parse(row.answers_json)) } : {}),
    ...(withAnswers && row.text !== null ? { comment: row.text } : {}),
  }));
}
