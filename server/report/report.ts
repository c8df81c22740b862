import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { analyse } from "../../src/report/analysis.ts";
import { type Deps, hashToken, now } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { eventsOf } from "../store/events.ts";
import { evidenceOf } from "../store/evidence.ts";
import { liveLink } from "../store/links.ts";
import { secretsOf } from "../store/sessions.ts";
import { ballotsCsv, brewsCsv } from "./export.ts";
import { reportFields } from "./report-page.ts";

type SessionRoute = { Params: { sessionId: string } };

/** The report: for the lead with its data, for a manager through a link to read. */
export function report(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const base = "/lead/sessions/:sessionId/report";
    app.get<SessionRoute>(base, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      if (session.state !== "unblinded") return sendRefusal(request, reply, notYetForLead);
      return await showReport(deps, reply, session, true);
    });
    app.get<{ Params: { token: string } }>(
      "/report/:token",
      { config: { access: "link" } },
      async (request, reply) => {
        const link = await liveLink(deps.store, hashToken(request.params.token), now(deps));
        if (link === undefined || link.shows !== "report") {
          return sendRefusal(request, reply, spentLink);
        }
        const session = await sealedSession(deps.store, link.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        if (session.state !== "unblinded") return sendRefusal(request, reply, notYetForReader);
        return await showReport(deps, reply, session, false);
      },
    );
    app.get<SessionRoute & { Params: { file: string } }>(
      `${base}/:file`,
      { config },
      async (request, reply) => {
        const session = await sealedSession(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        if (session.state !== "unblinded") return sendRefusal(request, reply, notYetForLead);
        return (
          (await sendFile(deps, reply, session, request.params.file)) ??
          sendRefusal(request, reply, notFound)
        );
      },
    );
  };
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
  forLead: boolean,
): Promise<FastifyReply> {
  const findings = analyse(await evidenceOf(deps.store, session.id, session.plan));
  return reply.page("report/report", { ...reportFields(session, findings), forLead });
}

async function sendFile(
  deps: Deps,
  reply: FastifyReply,
  session: SealedSession,
  file: string,
): Promise<FastifyReply | undefined> {
  const evidence = await evidenceOf(deps.store, session.id, session.plan);
  const findings = analyse(evidence);
  const download = (name: string) =>
    reply
      .header("content-disposition", `attachment; filename="${name}"`)
      .header("cache-control", "no-store");
  switch (file) {
    case "ballots.csv":
      return download(file).type("text/csv; charset=utf-8").send(ballotsCsv(evidence));
    case "brews.csv":
      return download(file)
        .type("text/csv; charset=utf-8")
        .send(brewsCsv(evidence, findings.brews));
    case "session.json":
      return download(file).send({
        format: "evenpour-session",
        formatVersion: 1,
        session: { id: session.id, name: session.name, heldOn: session.heldOn },
        planHash: session.sealed.planHash,
        commitment: session.sealed.commitment,
        key: await openedKey(deps, session.id),
        evidence,
        findings,
        events: await eventsOf(deps.store, session.id),
      });
    default:
      return undefined;
  }
}

/** Key and nonce, with which anyone can check the commitment. */
async function openedKey(deps: Deps, sessionId: string) {
  const { keyJson, nonceHex } = await secretsOf(deps.store, sessionId);
  return { keyJson, nonceHex };
}
