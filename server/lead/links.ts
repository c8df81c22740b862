import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { z } from "zod";
import { leadIn } from "../access.ts";
import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { errorsByField, formOf } from "../form.ts";
import { kitMark } from "../kit-mark.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { appendEvent } from "../store/events.ts";
import { addLink, type Link, type LinkTarget, linksOf, revokeLink } from "../store/links.ts";

type SessionRoute = { Params: { sessionId: string } };
type LinkRoute = { Params: { sessionId: string; linkId: string } };

const newLinkSchema = z.object({
  shows: z.enum(["report", "pour-sheet", "brew-sheet", "key-sheet"], "Choose what the link shows"),
  note: z.string().trim().max(80, "Keep the note under 80 characters"),
  days: z.coerce
    .number("Give whole days")
    .int("Give whole days")
    .min(1, "At least one day")
    .max(365, "At most 365 days"),
});

const targets: Record<LinkTarget, { name: string; explanation: string; path: string }> = {
  "pour-sheet": {
    name: "Pour sheet",
    explanation: "pot to codes, for the person who pours",
    path: "/sheet",
  },
  "brew-sheet": {
    name: "Brew sheet",
    explanation: "pots, waters and treatments, for the person who brews",
    path: "/sheet",
  },
  "key-sheet": {
    name: "Key sheet",
    explanation: "which code holds what, for a sealed envelope",
    path: "/sheet",
  },
  report: { name: "Report", explanation: "what was found, to read only", path: "/report" },
};

/** Links for second persons and readers: made here, shown once, revoked here. */
export function links(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const checked = { config, preHandler: app.csrfProtection };
    app.get<SessionRoute>("/lead/sessions/:sessionId/links", { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      return await showLinks(deps, reply, session, { made: null, error: null });
    });
    app.post<SessionRoute>("/lead/sessions/:sessionId/links", checked, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      const parsed = newLinkSchema.safeParse(formOf(request.body));
      if (!parsed.success) {
        reply.code(422);
        const error = Object.values(errorsByField(parsed.error)).join("; ");
        return await showLinks(deps, reply, session, { made: null, error });
      }
      const url = await makeLink(deps, session.id, leadIn(request).id, parsed.data);
      return await showLinks(deps, reply, session, {
        made: { url, name: targets[parsed.data.shows].name },
        error: null,
      });
    });
    app.post<LinkRoute>(
      "/lead/sessions/:sessionId/links/:linkId/revocation",
      checked,
      async (request, reply) => {
        const { sessionId, linkId } = request.params;
        const at = now(deps);
        const revoked = await deps.store.transaction().execute(async (trx) => {
          if (!(await revokeLink(trx, { id: linkId, sessionId, at }))) return false;
          const actor = `lead:${leadIn(request).id}`;
          await appendEvent(trx, sessionId, { at, actor, kind: "link-revoked", body: { linkId } });
          return true;
        });
        if (!revoked) return sendRefusal(request, reply, notFound);
        return await reply.redirect(`/lead/sessions/${sessionId}/links`, 303);
      },
    );
  };
}

/** Stores a link and returns its address, which is shown once. */
export async function makeLink(
  deps: Deps,
  sessionId: string,
  leadId: string,
  wish: { shows: LinkTarget; note: string; days: number },
): Promise<string> {
  const token = newToken(deps);
  const id = newToken(deps);
  const at = now(deps);
  const expiresAt = new Date(deps.clock().getTime() + wish.days * 86_400_000).toISOString();
  await deps.store.transaction().execute(async (trx) => {
    const { shows, note } = wish;
    await addLink(trx, { id, sessionId, shows, tokenHash: hashToken(token), note, at, expiresAt });
    const body = { linkId: id, shows, expiresAt };
    await appendEvent(trx, sessionId, { at, actor: `lead:${leadId}`, kind: "link-made", body });
  });
  return `${deps.publicUrl()}${targets[wish.shows].path}/${token}`;
}

async function showLinks(
  deps: Deps,
  reply: FastifyReply,
  session: SealedSession,
  view: { made: { url: string; name: string } | null; error: string | null },
): Promise<FastifyReply> {
  const all = await linksOf(deps.store, session.id);
  return reply.page("lead/links", {
    title: "Sheets and links",
    session,
    kit: kitMark(session.sealed.commitment),
    ...view,
    choices: Object.entries(targets).map(([value, { name, explanation }]) => ({
      value,
      name,
      explanation,
    })),
    links: all.map((link) => ({ ...describe(link, now(deps)), id: link.id })),
  });
}

function describe(link: Link, at: string) {
  const expired = link.expiresAt !== null && link.expiresAt <= at;
  const state = link.revokedAt !== null ? "revoked" : expired ? "expired" : "live";
  return {
    name: targets[link.shows].name,
    note: link.note,
    state,
    live: state === "live",
    opened: openedText(link),
    until: link.expiresAt?.slice(0, 10) ?? "",
  };
}

/** A sheet opens once; of a report the last opening is known. */
function openedText({ shows, openedAt }: Link): string {
  if (openedAt === null) return "not yet";
  const minute = openedAt.slice(0, 16).replace("T", " ");
  return shows === "report" ? `last ${minute}` : minute;
}
