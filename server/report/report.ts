import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { type Deps, hashToken, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { findingsOf } from "../session-findings.ts";
import { amendmentsOf } from "../store/amendments.ts";
import { eventsOf } from "../store/events.ts";
import { type Link, liveLink, noteReading } from "../store/links.ts";
import { reportFile, sendFile } from "./report-files.ts";
import { reportFields } from "./report-page.ts";

type SessionRoute = { Params: { sessionId: string } };
type LinkRoute = { Params: { token: string } };

/** The report: for the lead with its data, for a manager through a link to read. */
export function report(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const base = "/lead/sessions/:sessionId/report";
    app.get<SessionRoute>(base, { config }, async (request, reply) => {
      const found = await forLead(deps, request.params.sessionId);
      if (!found.ok) return sendRefusal(request, reply, found.refusal);
      const saveHref = `/lead/sessions/${found.session.id}/report/report.html`;
      return await showReport(deps, reply, found.session, { forLead: true, saveHref });
    });
    app.get<SessionRoute & { Params: { file: string } }>(
      `${base}/:file`,
      { config },
      async (request, reply) => {
        const found = await forLead(deps, request.params.sessionId);
        if (!found.ok) return sendRefusal(request, reply, found.refusal);
        const file = await reportFile(deps, found.session, request.params.file);
        return file === undefined ? sendRefusal(request, reply, notFound) : sendFile(reply, file);
      },
    );
    const link = { config: { access: "link" as const } };
    app.get<LinkRoute>("/report/:token", link, async (request, reply) => {
      const found = await forReader(deps, request.params.token);
      if (!found.ok) return sendRefusal(request, reply, found.refusal);
      const saveHref = `/report/${encodeURIComponent(request.params.token)}/report.html`;
      return await showReport(deps, reply, found.session, { forLead: false, saveHref });
    });
    app.get<LinkRoute>("/report/:token/report.html", link, async (request, reply) => {
      const found = await forReader(deps, request.params.token);
      if (!found.ok) return sendRefusal(request, reply, found.refusal);
      const file = await reportFile(deps, found.session, "report.html");
      return file === undefined ? sendRefusal(request, reply, notFound) : sendFile(reply, file);
    });
  };
}

type Found = { ok: true; session: SealedSession } | { ok: false; refusal: PublicRefusal };

async function forLead(deps: Deps, sessionId: string): Promise<Found> {
  const session = await sealedSession(deps.store, sessionId);
  if (session === undefined) return { ok: false, refusal: notFound };
  if (session.state !== "unblinded") return { ok: false, refusal: notYetForLead };
  return { ok: true, session };
}

async function forReader(deps: Deps, token: string): Promise<Found> {
  const link = await liveLink(deps.store, hashToken(token), now(deps));
  if (link === undefined || link.shows !== "report") return { ok: false, refusal: spentLink };
  const session = await sealedSession(deps.store, link.sessionId);
  if (session === undefined) return { ok: false, refusal: notFound };
  if (session.state !== "unblinded") return { ok: false, refusal: notYetForReader };
  await noteOpening(deps, link);
  return { ok: true, session };
}

/** Whoever reloads a report or saves it is still at the same reading. */
const ONE_READING_MILLISECONDS = 5 * 60_000;

async function noteOpening(deps: Deps, { id, openedAt }: Link): Promise<void> {
  const since = openedAt === null ? Infinity : deps.clock().getTime() - Date.parse(openedAt);
  if (since < ONE_READING_MILLISECONDS) return;
  await deps.store.transaction().execute((trx) => noteReading(trx, id, now(deps)));
}

const notYetForLead: PublicRefusal = {
  status: 409,
  headline: "There is no report yet",
  advice:
    "No result is computed before the session is closed and its key opened. Do both on the session's page.",
};
const notYetForReader: PublicRefusal = {
  status: 409,
  headline: "The report isn't ready yet",
  advice:
    "Nobody can see a result before the tasting has ended and its key is opened. Keep this link and come back.",
};
const spentLink: PublicRefusal = {
  status: 404,
  headline: "This link has been revoked or has expired",
  advice: "Ask the person who sent it for a new one.",
};

async function showReport(
  deps: Deps,
  reply: FastifyReply,
  session: SealedSession,
  reader: { forLead: boolean; saveHref: string },
): Promise<FastifyReply> {
  const { findings } = await findingsOf(deps.store, session);
  const amendments = await amendmentsOf(deps.store, session.id);
  const events = await eventsOf(deps.store, session.id);
  return reply.page(
    "report/report",
    reportFields(session, { findings, amendments, events }, { ...reader, roastery: deps.roastery }),
  );
}
