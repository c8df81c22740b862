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

/** A file that a report can be taken along as. */
interface ReportFile {
  name: string;
  type: string;
  content: string | Buffer;
}

export function sendFile(reply: FastifyReply, { name, type, content }: ReportFile): FastifyReply {
  return reply
    .header("content-disposition", `attachment; filename="${name}"`)
    .header("cache-control", "no-store")
    .type(type)
    .send(content);
}

/**
 * One of a report's files by its name; undefined when there is none of that name. What is sent is
 * decided by who asks: a reply that is awaited gives nothing back, so nobody can tell that it was sent.
 */
export async function reportFile(
  deps: Deps,
  session: SealedSession,
  name: string,
): Promise<ReportFile | undefined> {
  const found = await findingsOf(deps.store, session);
  const { findings, evidence } = found;
  switch (name) {
    case "report.html": {
      const amendments = await amendmentsOf(deps.store, session.id);
      const events = await eventsOf(deps.store, session.id);
      const content = savedReport(deps, session, { findings, amendments, events });
      return { name, type: "text/html; charset=utf-8", content };
    }
    case "package.zip":
      return { name, type: "application/zip", content: await dataPackage(deps, session, found) };
    case "ballots.csv":
      return { name, type: "text/csv; charset=utf-8", content: ballotsCsv(evidence) };
    case "brews.csv":
      return { name, type: "text/csv; charset=utf-8", content: brewsCsv(evidence, findings.brews) };
    case "session.json": {
      if (session.origin === "imported") return undefined;
      const content = await publishedSession(deps, session, found);
      return { name, type: "application/json; charset=utf-8", content };
    }
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
