import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { type CellProblem, readBrewSheet } from "../../src/experiment/brew-import.ts";
import type { BrewRecord } from "../../src/experiment/brew-log.ts";
import { brewSheetColumns } from "../../src/experiment/brew-sheet.ts";
import { coffeeName } from "../../src/experiment/plan.ts";
import { leadIn } from "../access.ts";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { formOf, textOf } from "../form.ts";
import { dataLocked, type SealedSession, sealedSession } from "../sealed-session.ts";
import { brewLog, type PotOnLog } from "../store/brews.ts";
import { takeUploads } from "../uploads.ts";
import { describeExtraction, loggablePots, problemPlace } from "./brew-pages.ts";
import { storeBrews } from "./brews.ts";
import { readCells, uploadedText } from "./sheet-cells.ts";

type SessionRoute = { Params: { sessionId: string } };

/** Import of a brew sheet: what is wrong by cell, or what would be stored; then, on a second yes, all of it. */
export function brewImport(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    await takeUploads(app);
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/brews/import";
    app.get<SessionRoute>(path, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      return showImport(reply, session, { text: "", problems: [], preview: null });
    });
    app.post<SessionRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const session = await sealedSession(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        if (session.state === "unblinded") return sendRefusal(request, reply, dataLocked);
        return await answerImport(deps, request, reply, session);
      },
    );
  };
}

async function answerImport(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  session: SealedSession,
): Promise<FastifyReply> {
  const form = formOf(request.body);
  const text = uploadedText(form) || textOf(form, "sheet");
  const cells = readCells(text, Object.keys(brewSheetColumns), noBrewSheet);
  const pots = await brewLog(deps.store, session.id);
  const read = cells.ok ? readBrewSheet(cells.cells, loggablePots(pots, session.plan)) : cells;
  if (!read.ok) {
    reply.code(422);
    return showImport(reply, session, { text, problems: read.problems, preview: null });
  }
  if (textOf(form, "act") !== "store") {
    return showImport(reply, session, { text, problems: [], preview: read.brews });
  }
  const brews = read.brews.flatMap((brew) => {
    const pot = potOf(brew, pots);
    return pot === undefined ? [] : [{ potId: pot.potId, brew }];
  });
  const stored = await storeBrews(deps, leadIn(request).id, session.id, brews);
  if (!stored) return sendRefusal(request, reply, dataLocked);
  return await reply.redirect(`/lead/sessions/${session.id}/brews`, 303);
}

function potOf(brew: BrewRecord, pots: readonly PotOnLog[]): PotOnLog | undefined {
  return pots.find((pot) => pot.coffeeId === brew.coffeeId && pot.letter === brew.potLetter);
}

const noBrewSheet =
  "This is no brew sheet: its first row must name the columns. Start from the sheet above";

interface ImportView {
  text: string;
  problems: CellProblem[];
  preview: BrewRecord[] | null;
}

function showImport(reply: FastifyReply, session: SealedSession, view: ImportView): FastifyReply {
  return reply.page("lead/brew-import", {
    title: "Import brews",
    session,
    text: view.text,
    problems: view.problems.map((problem) => ({
      place: problemPlace(problem),
      message: problem.message,
    })),
    preview:
      view.preview?.map((brew) => ({
        coffee: coffeeName(session.plan, brew.coffeeId),
        letter: brew.potLetter,
        brewer: brew.brewer,
        dose: brew.doseGrams,
        water: brew.brewWaterGrams,
        beverage: brew.beverageGrams,
        seconds: brew.brewSeconds,
        readings: brew.tdsReadingsPercent.join(" "),
        extraction: describeExtraction(brew),
      })) ?? null,
    count: view.preview?.length ?? 0,
    columns: Object.entries(brewSheetColumns).map(([name, meaning]) => ({ name, meaning })),
  });
}
