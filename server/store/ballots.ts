import type { Transaction } from "kysely";
import type { Answers } from "../../src/experiment/ballot.ts";
import { appendEvent } from "./events.ts";
import type { Database } from "./schema.ts";

type Write = Transaction<Database>;

/** A ballot as it arrives: whose, on what, and what it says. */
export interface ArrivingBallot {
  sessionId: string;
  seatId: string;
  presentationId: string;
  ordinal: number;
  answers: Answers;
  /** The answers' canonical JSON, which a repeated ballot is compared with. */
  answersJson: string;
  comment: string;
  idempotencyKey: string;
  secondsOnScreen: number | null;
  secondsRested: number | null;
  /** When it was given; null when nobody knows. */
  answeredAt: string | null;
  at: string;
}

/** Stores a presentation's first ballot with its event; the comment lies apart, so that it can be erased. */
export async function addBallot(trx: Write, id: string, ballot: ArrivingBallot): Promise<void> {
  await trx
    .insertInto("ballots")
    .values({
      id,
      presentation_id: ballot.presentationId,
      idempotency_key: ballot.idempotencyKey,
      answers_json: ballot.answersJson,
      received_at: ballot.at,
      seconds_on_screen: ballot.secondsOnScreen,
      seconds_rested: ballot.secondsRested,
      answered_at: ballot.answeredAt,
    })
    .execute();
  if (ballot.comment !== "") {
    await trx.insertInto("comments").values({ ballot_id: id, text: ballot.comment }).execute();
  }
  await noteBallot(trx, "ballot-stored", ballot);
}

/** Notes a second, differing ballot; the first one stands and this one is never counted. */
export async function noteDifferingBallot(trx: Write, ballot: ArrivingBallot): Promise<void> {
  await noteBallot(trx, "ballot-differs", ballot);
}

/** Notes that a lead typed a taster's ballot in, and what from. */
export async function noteDesk(
  trx: Write,
  by: { leadId: string; from: string },
  { sessionId, seatId, ordinal, at }: ArrivingBallot,
): Promise<void> {
  const seat = await trx
    .selectFrom("seats")
    .select("number")
    .where("id", "=", seatId)
    .executeTakeFirstOrThrow();
  await appendEvent(trx, sessionId, {
    at,
    actor: `lead:${by.leadId}`,
    kind: "ballot-by-desk",
    body: { seatId, seat: seat.number, ordinal, from: by.from },
  });
}

async function noteBallot(trx: Write, kind: string, ballot: ArrivingBallot): Promise<void> {
  await appendEvent(trx, ballot.sessionId, {
    at: ballot.at,
    actor: `seat:${ballot.seatId}`,
    kind,
    body: { ordinal: ballot.ordinal, answers: ballot.answers },
  });
}
