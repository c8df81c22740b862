import type { FastifyReply, FastifyRequest } from "fastify";
import { type AdmissionRefusal, admitBallot } from "../../src/experiment/session.ts";
import type { Deps } from "../deps.ts";
import type { Seat, Serving } from "../store/blind.ts";
import type { Language, Languages } from "./languages.ts";
import type { NoticeName } from "./messages.ts";
import { tell } from "./pages.ts";
import { seatOf } from "./seat.ts";

/** A seated taster's request about one of their sets. */
export interface Visit {
  request: FastifyRequest;
  reply: FastifyReply;
  seat: Seat;
  language: Language;
  ordinal: number;
}

/** Who asks and about which set; undefined when the phone has no seat and has been told so. */
export async function visitOf(
  deps: Deps,
  languages: Languages,
  request: FastifyRequest<{ Params: { ordinal: string } }>,
  reply: FastifyReply,
): Promise<Visit | undefined> {
  const seat = await seatOf(request, deps);
  const language = languages.choose(seat?.language, request.headers["accept-language"]);
  if (seat === undefined) {
    tell(request, reply, { status: 401, notice: "noSeat", language, seat: null, next: "/join" });
    return undefined;
  }
  const { ordinal } = request.params;
  // Anything that is no number names no set: ordinals start at 1.
  return { request, reply, seat, language, ordinal: /^\d{1,4}$/.test(ordinal) ? +ordinal : 0 };
}

export function tellVisit(visit: Visit, status: number, notice: NoticeName): FastifyReply {
  const { request, reply, language, seat } = visit;
  return tell(request, reply, { status, notice, language, seat, next: "/taste" });
}

/** Why a set can't be shown for an answer, as the taster is told; null when it can. */
export function admissionNotice({ seat }: Visit, serving: Serving): NoticeName | null {
  const { state, active } = seat;
  // A pause stops what is sent, not what is looked at.
  const situation = { state, paused: false, seatActive: active, voided: serving.voided };
  const admitted = admitBallot(situation);
  return admitted.ok ? null : refusalNotice[admitted.refusal];
}

export const refusalNotice = {
  "not-open-yet": "notOpenYet",
  closed: "closed",
  paused: "paused",
  "seat-inactive": "inactive",
  voided: "voided",
} as const satisfies Record<AdmissionRefusal, NoticeName>;
