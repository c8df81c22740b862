import type { FastifyReply } from "fastify";
import type { Deps } from "../deps.ts";
import type { SealedSession } from "../sealed-session.ts";
import { findingsOf, type SessionFindings } from "../session-findings.ts";
import { amendmentsOf } from "../store/amendments.ts";
import { eventsOf } from "../store/events.ts";
import { secretsOf } from "../store/sessions.ts";
import { packageFiles, zipPackage } from "./data-package.ts";
import { ballotsCsv, brewsCsv } from "./export.ts";
import { savedReport } from "./saved-report.ts";

/** Sends one of the files that a report can be taken along as; undefined when there is none of that name. */
export async function sendFile(
  deps: Deps,
  reply: FastifyReply,
  session: SealedSession,
  file: string,
): Promise<FastifyReply | undefined> {
  const found = await findingsOf(deps.store, session);
  const download = (type: string) =>
    reply
      .header("content-disposition", `attachment; filename="${file}"`)
      .header("cache-control", "no-store")
      .type(type);
  switch (file) {
    case "report.html": {
      const amendments = await amendmentsOf(deps.store, session.id);
      const events = await eventsOf(deps.store, session.id);
      const { findings } = found;
      const page = savedReport(deps, session, { findings, amendments, events });
      return download("text/html; charset=utf-8").send(page);
    }
    case "package.zip":
      return download("application/zip").send(await dataPackage(deps, session, found));
    case "ballots.csv":
      return download("text/csv; charset=utf-8").send(ballotsCsv(found.evidence));
    case "brews.csv":
      return download("text/csv; charset=utf-8").send(
        brewsCsv(found.evidence, found.findings.brews),
      );
    case "session.json":
      if (session.origin === "imported") return undefined;
      return download("application/json; charset=utf-8").send(
        await publishedSession(deps, session, found),
      );
    default:
      return undefined;
  }
}

async function dataPackage(
  deps: Deps,
  session: SealedSession,
  { evidence, findings }: SessionFindings,
): Promise<Buffer> {
  const events = await eventsOf(deps.store, session.id);
  const final = events.find(({ kind }) => kind === "unblinded" || kind === "imported");
  const { planHash, commitment } = session.sealed;
  const files = packageFiles({
    about: { id: session.id, name: session.name, heldOn: session.heldOn, planHash, commitment },
    created: final?.at ?? "",
    evidence,
    findings,
    events,
  });
  return Buffer.from(zipPackage(files));
}

/** All of a session in one file, with key and nonce, so that anyone can check the commitment. */
async function publishedSession(
  deps: Deps,
  session: SealedSession,
  { evidence, findings }: SessionFindings,
): Promise<string> {
  const { keyJson, nonceHex } = await secretsOf(deps.store, session.id);
  return JSON.stringify({
    format: "evenpour-session",
    formatVersion: 1,
    session: { id: session.id, name: session.name, heldOn: session.heldOn },
    planHash: session.sealed.planHash,
    commitment: session.sealed.commitment,
    key: { keyJson, nonceHex },
    evidence,
    findings,
    events: await eventsOf(deps.store, session.id),
  });
}
