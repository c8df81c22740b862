import type { Transaction } from "kysely";
import { z } from "zod";
import { canonicalJson } from "../../src/design/seal.ts";
import {
  type AnswerIssue,
  type Answers,
  commentSchema,
  idempotencyKeySchema,
  readAnswers,
} from "../../src/experiment/ballot.ts";
import { type AdmissionRefusal, admitBallot } from "../../src/experiment/session.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { addBallot, noteDesk, noteDifferingBallot } from "../store/ballots.ts";
import {
  ownBallot,
  questionnaire,
  type Seat,
  type Serving,
  type SittingTimes,
  seatById,
  servingOf,
  sittingTimes,
} from "../store/blind.ts";
import type { Database } from "../store/schema.ts";
import { ballotForm } from "./ballot-form.ts";
import { answeredAt, believableRest } from "./pace.ts";

const seconds = z
  .string()
  .regex(/^\d{1,5}$/)
  .transform(Number)
  .nullable()
  .catch(null);

/** What comes with the answers: the key that a retry repeats, a comment, and the pace of the sitting. */
export const ballotExtrasSchema = z.object({
  key: idempotencyKeySchema,
  // Browsers send line breaks in two ways; a retry must not differ by that.
  comment: z
    .string()
    .transform((text) => text.replaceAll("\r\n", "\n"))
    .pipe(commentSchema)
    .default(""),
  /** How long the set was on the screen. */
  seconds,
  /** From the lock of the set before to the first touch of this one. */
  rested: seconds,
  /** From this set's lock until it was sent: long when it waited for the network. */
  ago: z
    .string()
    .regex(/^\d{1,9}$/)
    .transform(Number)
    .catch(0),
});
export type BallotExtras = z.infer<typeof ballotExtrasSchema>;

export type Received =
  | { outcome: "stored" | "differs" | "not-yours" }
  | { outcome: "refused"; refusal: AdmissionRefusal }
  | { outcome: "mend"; issues: AnswerIssue[] };

/** One ballot on its way in: whose seat, which presentation, and the form's fields. */
export interface Arrival {
  seat: Seat;
  ordinal: number;
  fields: Readonly<Record<string, unknown>>;
  extras: BallotExtras;
  /** Who typed it in for the taster, and what from; absent when a phone sent it. */
  by?: { leadId: string; from: string };
}

/**
 * Takes a ballot in, in one transaction. The first answer to a presentation is stored with its event;
 * the same answer again is acknowledged; a differing one is noted, never counted.
 */
export async function receiveBallot(deps: Deps, arrival: Arrival): Promise<Received> {
  const received = await deps.store
    .transaction()
    .execute((trx) => receive(trx, arrival, { id: newToken(deps), at: now(deps) }));
  if (received.outcome === "stored" || received.outcome === "differs") {
    deps.live.changed(arrival.seat.sessionId);
  }
  return received;
}

async function receive(
  trx: Transaction<Database>,
  arrival: Arrival,
  fresh: { id: string; at: string },
): Promise<Received> {
  const { ordinal, fields } = arrival;
  const seat = await seatById(trx, arrival.seat.id);
  const serving = await servingOf(trx, arrival.seat.id, ordinal);
  if (seat === undefined || serving === undefined) return { outcome: "not-yours" };
  const asked = await questionnaire(trx, seat.sessionId, null);
  const read = readAnswers(ballotForm(asked, serving), fields);
  const sitting = await sittingTimes(trx, seat.id);
  if (serving.answered) {
    if (!read.ok) return { outcome: "differs" };
    return await compare(trx, arrival, serving, { answers: read.answers, at: fresh.at, sitting });
  }
  const { state, paused } = seat;
  const seatActive = mayAnswer(seat, arrival);
  const admitted = admitBallot({ state, paused, seatActive, voided: serving.voided });
  if (!admitted.ok) return { outcome: "refused", refusal: admitted.refusal };
  if (!read.ok) return { outcome: "mend", issues: read.issues };
  const { answers } = read;
  const ballot = asArriving(arrival, serving, { answers, at: fresh.at, sitting });
  await addBallot(trx, fresh.id, ballot);
  if (arrival.by !== undefined) await noteDesk(trx, arrival.by, ballot);
  return { outcome: "stored" };
}

/** Answers as they were read: when they came, and to which sitting. */
interface ReadAnswers {
  answers: Answers;
  at: string;
  sitting: SittingTimes;
}

/** What a taster locked before leaving may still be typed in; after withdrawing nothing may. */
function mayAnswer(seat: Seat, { by }: Arrival): boolean {
  return seat.active || (by !== undefined && seat.language !== "");
}

/** A second ballot on one presentation: an echo of the first, or a change of mind that comes too late. */
async function compare(
  trx: Transaction<Database>,
  arrival: Arrival,
  serving: Serving,
  read: ReadAnswers,
): Promise<Received> {
  const first = await ownBallot(trx, serving.id);
  const second = asArriving(arrival, serving, read);
  if (first?.answersJson === second.answersJson && first.comment === second.comment) {
    return { outcome: "stored" };
  }
  await noteDifferingBallot(trx, second);
  return { outcome: "differs" };
}

function asArriving({ seat, ordinal, extras, by }: Arrival, serving: Serving, read: ReadAnswers) {
  return {
    sessionId: seat.sessionId,
    seatId: seat.id,
    presentationId: serving.id,
    ordinal,
    answers: read.answers,
    answersJson: canonicalJson(read.answers),
    comment: extras.comment,
    idempotencyKey: extras.key,
    secondsOnScreen: extras.seconds,
    secondsRested: believableRest(extras.rested, read.at, read.sitting),
    // When what the desk types in was tasted, nobody knows.
    answeredAt: by === undefined ? answeredAt(extras.ago, read.at, read.sitting) : null,
    at: read.at,
  };
}
