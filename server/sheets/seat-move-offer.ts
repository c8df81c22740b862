import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { z } from "zod";
import { leadIn } from "../access.ts";
import { type Deps, hashToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  errorsByField,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
} from "../form.ts";
import { newSeatCode } from "../join-code.ts";
import { qrDrawing } from "../qr.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { seatComplaint } from "../seat-complaint.ts";
import { appendEvent } from "../store/events.ts";
import { addSeatMove, seatInRoom } from "../store/incidents.ts";

type SessionRoute = { Params: { sessionId: string } };

const MINUTES = 30;

const ASK = "Give the number of the seat";
const moveSchema = z.object({
  seat: z
    .string(ASK)
    .trim()
    .regex(/^[1-9]\d{0,3}$/, ASK)
    .transform(Number),
});

/** A code with which one other phone may take a seat over: for a phone that fails or has no battery left. */
export function seatMoveOffer(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/seat-move";
    app.get<SessionRoute>(path, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      return showMove(reply, session, { values: formOf(request.query), errors: {} }, null);
    });
    app.post<SessionRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const session = await sealedSession(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        const values = formOf(request.body);
        const parsed = moveSchema.safeParse(values);
        const offer = parsed.success
          ? await offerMove(deps, session.id, leadIn(request).id, parsed.data.seat)
          : { ok: false as const, errors: errorsByField(parsed.error) };
        if (!offer.ok) {
          reply.code(422);
          return showMove(reply, session, { values, errors: offer.errors }, null);
        }
        const { seat, code } = offer;
        const link = `${deps.publicUrl()}/seat/${code}`;
        return showMove(
          reply,
          session,
          { values: {}, errors: {} },
          { seat, code, link, qr: qrDrawing(link) },
        );
      },
    );
  };
}

/** Stores a fresh code for a taken seat with its event; only its hash is kept. */
async function offerMove(deps: Deps, sessionId: string, leadId: string, number: number) {
  const code = newSeatCode(deps);
  const at = now(deps);
  const expiresAt = new Date(deps.clock().getTime() + MINUTES * 60_000).toISOString();
  return await deps.store.transaction().execute(async (trx) => {
    const seat = await seatInRoom(trx, sessionId, number);
    if (seat === undefined || (seat.status !== "tasting" && seat.status !== "left")) {
      return { ok: false as const, errors: { seat: seatComplaint(number, seat?.status) } };
    }
    await addSeatMove(trx, { codeHash: hashToken(code), seatId: seat.id, expiresAt });
    const body = { seatId: seat.id, seat: number, expiresAt };
    await appendEvent(trx, sessionId, {
      at,
      actor: `lead:${leadId}`,
      kind: "seat-move-offered",
      body,
    });
    return { ok: true as const, seat: number, code };
  });
}

function showMove(
  reply: FastifyReply,
  { id, name }: SealedSession,
  { values, errors }: { values: RawForm; errors: FieldErrors },
  made: { seat: number; code: string; link: string; qr: ReturnType<typeof qrDrawing> } | null,
): FastifyReply {
  return reply.page("lead/seat-move", {
    title: "Move a seat to another phone",
    id,
    name,
    made,
    errors: errorSummary(errors),
    seat: fieldMaker(values, errors)("seat", "Seat", { type: "whole" }),
  });
}
