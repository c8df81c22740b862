import type { FastifyPluginAsync } from "fastify";
import { create as makeQr } from "qrcode";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { formOf, textOf } from "../form.ts";
import { sealedSession } from "../sealed-session.ts";
import { type PouredCup, pouredCups, type TrayCup, trayCups } from "../store/sheets.ts";
import { roundOf } from "./sheet-content.ts";

type SessionRoute = { Params: { sessionId: string } };

/** Label sheets by their grid, as they are commonly cut; sizes in millimetres. */
const labelGrids = [
  { id: "a4-3x8", name: "A4, 3 × 8 labels of 70 × 37 mm", paper: "a4", perPage: 24 },
  { id: "a4-5x13", name: "A4, 5 × 13 labels of 38 × 21 mm", paper: "a4", perPage: 65 },
  { id: "letter-3x10", name: "Letter, 3 × 10 labels of 67 × 25 mm", paper: "letter", perPage: 30 },
] as const;

/** Paper that a lead may print: labels, tray sheets and the join poster. None names pot or treatment. */
export function printedSheets(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const base = "/lead/sessions/:sessionId/sheets";
    app.get<SessionRoute>(`${base}/labels`, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      const wish = textOf(formOf(request.query), "grid");
      const grid = labelGrids.find((candidate) => candidate.id === wish) ?? labelGrids[0];
      const labels = labelsInRounds(await pouredCups(deps.store, session.id));
      return reply.page("print/labels", {
        title: "Cup labels",
        session,
        grid,
        grids: labelGrids.map(({ id, name }) => ({ id, name, chosen: id === grid.id })),
        pages: inPages(labels, grid.perPage),
        count: labels.length,
      });
    });
    app.get<SessionRoute>(`${base}/trays`, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      return reply.page("print/trays", {
        title: "Tray sheets",
        session,
        seats: bySeat(await trayCups(deps.store, session.id)),
      });
    });
    app.get<SessionRoute>(`${base}/poster`, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      const url = `${deps.publicUrl()}/join/${session.sealed.joinCode}`;
      return reply.page("print/poster", {
        title: "Join poster",
        session,
        url,
        joinAddress: `${deps.publicUrl()}/join`,
        joinCode: session.sealed.joinCode,
        qr: qrDrawing(url),
      });
    });
  };
}

interface Label {
  code: string;
  round: number;
}

/** Labels by pouring round, in order of number: their place on the sheet says nothing of their pot. */
function labelsInRounds(cups: readonly PouredCup[]): Label[] {
  const rounds = [...new Set(cups.map(roundOf))];
  return rounds.flatMap((name, index) =>
    cups
      .filter((cup) => roundOf(cup) === name)
      .map((cup) => ({ code: cup.code, round: index + 1 }))
      .sort((one, other) => one.code.localeCompare(other.code)),
  );
}

function inPages<Item>(items: readonly Item[], perPage: number): Item[][] {
  return Array.from({ length: Math.ceil(items.length / perPage) }, (_, page) =>
    items.slice(page * perPage, (page + 1) * perPage),
  );
}

interface SeatTrays {
  seat: number;
  trays: { ordinal: number; codes: string[] }[];
}

function bySeat(cups: readonly TrayCup[]): SeatTrays[] {
  const seats = new Map<number, Map<number, string[]>>();
  for (const cup of cups) {
    const trays = seats.get(cup.seat) ?? new Map<number, string[]>();
    seats.set(cup.seat, trays);
    trays.set(cup.ordinal, [...(trays.get(cup.ordinal) ?? []), cup.code]);
  }
  return [...seats].map(([seat, trays]) => ({
    seat,
    trays: [...trays].map(([ordinal, codes]) => ({ ordinal, codes })),
  }));
}

/** A QR code as one SVG path: its side in modules (quiet zone included) and the dark modules. */
function qrDrawing(text: string): { side: number; path: string } {
  const quiet = 4;
  const { modules } = makeQr(text, { errorCorrectionLevel: "M" });
  const squares: string[] = [];
  for (let row = 0; row < modules.size; row += 1) {
    for (let column = 0; column < modules.size; column += 1) {
      if (modules.get(row, column)) squares.push(`M${column + quiet} ${row + quiet}h1v1h-1z`);
    }
  }
  return { side: modules.size + 2 * quiet, path: squares.join("") };
}
