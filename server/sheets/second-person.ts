import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { leadOf } from "../access.ts";
import { type Deps, hashToken, now, overHttps } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { kitMark } from "../kit-mark.ts";
import { roundsToPour } from "../pouring.ts";
import { pouringView } from "../pouring-view.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { appendEvent, eventsOf } from "../store/events.ts";
import { type Link, liveLink, openLink } from "../store/links.ts";
import { brewerPots, pouredCups } from "../store/sheets.ts";
import { brewSheet, keySheet, pourSheet } from "./sheet-content.ts";

export type TokenRoute = { Params: { token: string } };

const covers = {
  "pour-sheet": {
    name: "Pour sheet",
    forWhom:
      "This sheet is for the person who pours. It says which cup codes are filled from which pot, and nothing about who drinks them.",
    rule: "Don't show it to anyone who tastes or serves. If you taste or serve yourself, give this link back.",
  },
  "brew-sheet": {
    name: "Brew sheet",
    forWhom:
      "This sheet is for the person who brews. It says which treatment each pot gets, since someone must make them.",
    rule: "Don't speak about it with anyone who tastes, serves or pours until the session is unblinded.",
  },
  "key-sheet": {
    name: "Key sheet",
    forWhom:
      "This sheet holds the whole key. Print it, fold it, put it into an envelope and sign across the flap.",
    rule: "Open the envelope only if a cup must be identified for somebody's safety.",
  },
} as const;
type SheetTarget = keyof typeof covers;

/** Sheets that a second person opens once, on one device, through a link of their own. */
export function secondPersonSheets(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "link" as const };
    app.get<TokenRoute>("/sheet/:token", { config }, async (request, reply) => {
      const at = await findSheet(deps, request.params.token);
      if (at?.link.openedAt === null) return await showCover(deps, request, reply, at);
      const opened = await openedSheet(deps, request);
      if (!opened.ok) return sendRefusal(request, reply, opened.refusal);
      return await showSheet(deps, request, reply, opened);
    });
    app.post<TokenRoute>(
      "/sheet/:token",
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const at = await findSheet(deps, request.params.token);
        if (at === undefined) return sendRefusal(request, reply, spentLink);
        if (!(await open(deps, request, at))) return sendRefusal(request, reply, openedElsewhere);
        const { token } = request.params;
        return await reply
          .setCookie(cookieOf(at.link), token, {
            ...COOKIE,
            secure: overHttps(deps),
            path: `/sheet/${token}`,
          })
          .redirect(`/sheet/${token}`, 303);
      },
    );
  };
}

const COOKIE = { httpOnly: true, sameSite: "lax", signed: true, maxAge: 30 * 86_400 } as const;
const cookieOf = (link: Link) => `evenpour_sheet_${link.id}`;

const spentLink = {
  ...notFound,
  headline: "This link has been revoked or has expired",
  advice: "Ask the person who runs the session for a new one.",
};
const openedElsewhere = {
  status: 410,
  headline: "This sheet has been opened already",
  advice:
    "It opens once, on one device. If that was you, go back to that device; if not, tell the person who runs the session at once: somebody else may know the key.",
};

interface SheetAt {
  link: Link;
  shows: SheetTarget;
  session: SealedSession;
}

async function findSheet(deps: Deps, token: string): Promise<SheetAt | undefined> {
  const link = await liveLink(deps.store, hashToken(token), now(deps));
  if (link === undefined || link.shows === "report") return undefined;
  const session = await sealedSession(deps.store, link.sessionId);
  return session && { link, shows: link.shows, session };
}

/** A sheet that this device has opened, or why it may not be shown here. */
export async function openedSheet(
  deps: Deps,
  request: FastifyRequest<TokenRoute>,
): Promise<({ ok: true } & SheetAt) | { ok: false; refusal: PublicRefusal }> {
  const at = await findSheet(deps, request.params.token);
  if (at === undefined) return { ok: false, refusal: spentLink };
  if (!openedHere(request, at.link)) return { ok: false, refusal: openedElsewhere };
  return { ok: true, ...at };
}

function openedHere(request: FastifyRequest<TokenRoute>, link: Link): boolean {
  const cookie = request.cookies[cookieOf(link)];
  if (cookie === undefined) return false;
  const { valid, value } = request.unsignCookie(cookie);
  return valid && value === request.params.token;
}

async function showCover(
  deps: Deps,
  request: FastifyRequest<TokenRoute>,
  reply: FastifyReply,
  at: SheetAt,
): Promise<FastifyReply> {
  return reply.page("sheets/cover", {
    title: covers[at.shows].name,
    ...covers[at.shows],
    session: at.session,
    token: request.params.token,
    openerIsLead: (await leadOf(request, deps)) !== null,
  });
}

/** Records who opened the sheet; a lead who does so costs the session its double blind. */
async function open(deps: Deps, request: FastifyRequest, at: SheetAt): Promise<boolean> {
  const lead = await leadOf(request, deps);
  const moment = now(deps);
  const actor = lead === null ? `link:${at.link.id}` : `lead:${lead.id}`;
  const kind = lead === null ? "sheet-opened" : "sheet-opened-by-lead";
  return await deps.store.transaction().execute(async (trx) => {
    if (!(await openLink(trx, at.link.id, moment))) return false;
    const body = { linkId: at.link.id, sheet: at.shows };
    await appendEvent(trx, at.session.id, { at: moment, actor, kind, body });
    return true;
  });
}

async function showSheet(
  deps: Deps,
  request: FastifyRequest<TokenRoute>,
  reply: FastifyReply,
  at: SheetAt,
): Promise<FastifyReply> {
  const { session } = at;
  const common = {
    title: covers[at.shows].name,
    session,
    plan: session.plan,
    kit: kitMark(session.sealed.commitment),
  };
  switch (at.shows) {
    case "pour-sheet": {
      const cups = await pouredCups(deps.store, session.id);
      const events = await eventsOf(deps.store, session.id);
      const rounds = await roundsToPour(deps.store, session.id, session.plan, events);
      const { rounds: poured } = pouringView(session, rounds, deps.clock());
      const { token } = request.params;
      const sheet = pourSheet(session.plan, cups, poured);
      return reply.page("sheets/pour-sheet", { ...common, token, ...sheet });
    }
    case "brew-sheet": {
      const pots = await brewerPots(deps.store, session.id);
      return reply.page("sheets/brew-sheet", { ...common, ...brewSheet(session.plan, pots) });
    }
    case "key-sheet": {
      const pots = await brewerPots(deps.store, session.id);
      const cups = await pouredCups(deps.store, session.id);
      const { planHash, commitment } = session.sealed;
      return reply.page("sheets/key-sheet", {
        ...common,
        planHash,
        commitment,
        ...keySheet(session.plan, pots, cups),
      });
    }
  }
}
