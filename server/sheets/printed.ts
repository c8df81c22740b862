import type { FastifyPluginAsync } from "fastify";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { formOf, type RawForm, textOf } from "../form.ts";
import { joinLink } from "../join-code.ts";
import { kitMark } from "../kit-mark.ts";
import { qrDrawing } from "../qr.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { potsToPour, pouredCups, trayCups } from "../store/sheets.ts";
import { loadTasterLanguages } from "../taster/languages.ts";
import { labelGrid, labelGrids } from "./label-grids.ts";
import { paperBallots } from "./paper-ballots.ts";
import { inPages, labelsInRounds, sparesInRounds } from "./round-content.ts";
import { type SeatTrays, seatLink, seatTrays } from "./seat-content.ts";

type SheetRoute = { Params: { sessionId: string; sheet: string } };
type Content = { title: string } & Record<string, unknown>;
type Fill = (session: SealedSession, wish: RawForm) => Promise<Content>;

/**
 * Paper that a lead may print: labels, trays, spare cups, seat cards, paper ballots and the join
 * poster. Each is filled without pots and treatments, so that whoever serves may see it.
 */
export function printedSheets(deps: Deps): FastifyPluginAsync {
  const sheets = fillings(deps);
  return async (app) => {
    app.get<SheetRoute>(
      "/lead/sessions/:sessionId/sheets/:sheet",
      { config: { access: "lead" } },
      async (request, reply) => {
        const fill = sheets.get(request.params.sheet);
        const session = await sealedSession(deps.store, request.params.sessionId);
        if (fill === undefined || session === undefined) {
          return sendRefusal(request, reply, notFound);
        }
        return reply.page(`print/${request.params.sheet}`, {
          session,
          kit: kitMark(session.sealed.commitment),
          ...(await fill(session, formOf(request.query))),
        });
      },
    );
  };
}

/** What each sheet is filled with, by its place in the address. */
function fillings(deps: Deps): ReadonlyMap<string, Fill> {
  const languages = loadTasterLanguages();
  return new Map<string, Fill>([
    ["labels", (session, wish) => labels(deps, session, textOf(wish, "grid"))],
    ["trays", (session) => trays(deps, session)],
    ["spares", (session) => spares(deps, session)],
    ["cards", (session) => cards(deps, session)],
    [
      "ballots",
      (session, wish) => paperBallots(deps, languages, session, textOf(wish, "language")),
    ],
    ["poster", (session) => poster(deps, session)],
  ]);
}

async function labels(deps: Deps, session: SealedSession, wish: string): Promise<Content> {
  const grid = labelGrid(wish);
  const all = labelsInRounds(await pouredCups(deps.store, session.id));
  return {
    title: "Cup labels",
    grid,
    grids: labelGrids.map(({ id, name }) => ({ id, name, chosen: id === grid.id })),
    pages: inPages(all, grid.perPage),
    count: all.length,
  };
}

async function trays(deps: Deps, session: SealedSession): Promise<Content> {
  const seats = await traysOf(deps, session);
  return {
    title: "Tray sheets",
    restSeconds: session.plan.serving?.palateRestSeconds ?? null,
    windowMinutes: session.plan.serving?.windowMinutes ?? null,
    seats: seats.map((seat) => ({ ...seat, qr: qrDrawing(seatLink(deps, session, seat.seat)) })),
  };
}

async function traysOf({ store }: Deps, { id, plan }: SealedSession): Promise<SeatTrays[]> {
  return seatTrays(await trayCups(store, id), await potsToPour(store, id), plan.tasters);
}

async function spares(deps: Deps, session: SealedSession): Promise<Content> {
  const rounds = sparesInRounds(session.plan, await pouredCups(deps.store, session.id));
  return { title: "Spare cups", rounds };
}

async function cards(deps: Deps, session: SealedSession): Promise<Content> {
  const seats = await traysOf(deps, session);
  const drawn = seats.map(({ seat, spare, trays: { length: sets } }) => {
    const qr = qrDrawing(seatLink(deps, session, seat));
    return { seat, spare, sets, qr };
  });
  return {
    title: "Seat cards",
    pages: inPages(drawn, 8),
    joinAddress: `${deps.publicUrl()}/join`,
    joinCode: session.sealed.joinCode,
  };
}

async function poster(deps: Deps, session: SealedSession): Promise<Content> {
  const { joinCode } = session.sealed;
  return {
    title: "Join poster",
    roastery: deps.roastery,
    joinAddress: `${deps.publicUrl()}/join`,
    joinCode,
    qr: qrDrawing(joinLink(deps, joinCode)),
  };
}
