import { stringify } from "csv-stringify/sync";
import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { z } from "zod";
import type { BrewRecord } from "../../src/experiment/brew-log.ts";
import {
  type BrewSheetColumn,
  brewSheetColumns,
  readBrewRow,
} from "../../src/experiment/brew-sheet.ts";
import { coffeeName } from "../../src/experiment/plan.ts";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { formOf, type RawForm, textOf } from "../form.ts";
import { dataLocked, type SealedSession, sealedSession } from "../sealed-session.ts";
import { addBrew, brewLog, type PotOnLog } from "../store/brews.ts";
import { appendEvent } from "../store/events.ts";
import { sessionById } from "../store/sessions.ts";
import { brewControlChart } from "./brew-chart.ts";
import { showBrewForm, typedBrew } from "./brew-form.ts";
import { loggablePots, logRows } from "./brew-pages.ts";
import { findPot, type PotAt, type PotRoute } from "./pot-at.ts";

type SessionRoute = { Params: { sessionId: string } };

/** The brew log of a session: every pot in brewing order, a form for each, and the sheet to fill in. */
export function brews(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    app.get<SessionRoute>("/lead/sessions/:sessionId/brews", { config }, async (request, reply) => {
      const found = await sealedSession(deps.store, request.params.sessionId);
      if (found === undefined) return sendRefusal(request, reply, notFound);
      const pots = await brewLog(deps.store, found.id);
      return reply.page("lead/brews", {
        title: `Brew log: ${found.name}`,
        session: found,
        rows: logRows(pots, found.plan),
        logged: pots.filter((pot) => pot.brew !== null).length,
        total: pots.length,
        chart: brewControlChart(pots, found.plan),
        blind: found.state !== "unblinded",
      });
    });
    app.get<SessionRoute>(
      "/lead/sessions/:sessionId/brews/sheet.csv",
      { config },
      async (request, reply) => {
        const found = await sealedSession(deps.store, request.params.sessionId);
        if (found === undefined) return sendRefusal(request, reply, notFound);
        return reply
          .type("text/csv; charset=utf-8")
          .header("content-disposition", 'attachment; filename="brew-sheet.csv"')
          .send(emptySheet(await brewLog(deps.store, found.id), found));
      },
    );
    app.get<PotRoute>(
      "/lead/sessions/:sessionId/brews/:potId",
      { config },
      async (request, reply) => {
        const at = await findPot(deps, request);
        if (at === undefined) return sendRefusal(request, reply, notFound);
        return showBrewForm(reply, at, typedBrew(at), {});
      },
    );
    app.post<PotRoute>(
      "/lead/sessions/:sessionId/brews/:potId",
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const at = await findPot(deps, request);
        if (at === undefined) return sendRefusal(request, reply, notFound);
        return await logBrew(deps, request, reply, at);
      },
    );
  };
}

async function logBrew(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
  at: PotAt,
): Promise<FastifyReply> {
  const form = formOf(request.body);
  const fixed = { coffee: coffeeName(at.session.plan, at.pot.coffeeId), pot: at.pot.letter };
  const read = readBrewRow(
    { ...textFields(form), ...fixed },
    loggablePots(at.pots, at.session.plan),
  );
  if (!read.ok) {
    const errors = Object.fromEntries(
      read.problems.map(({ column, message }) => [column, message]),
    );
    reply.code(422);
    return showBrewForm(reply, at, form, errors);
  }
  const brew = { potId: at.pot.potId, brew: read.brew };
  const stored = await storeBrews(deps, leadIn(request).id, at.session.id, [brew]);
  if (!stored) return sendRefusal(request, reply, dataLocked);
  return reply.redirect(`/lead/sessions/${at.session.id}/brews#pot-${at.pot.potId}`, 303);
}

/**
 * Stores brews, each as the next attempt of its pot, with one event a brew. False, and nothing
 * stored, when the session has been unblinded meanwhile.
 */
export async function storeBrews(
  deps: Deps,
  leadId: string,
  sessionId: string,
  brews: readonly { potId: string; brew: BrewRecord }[],
): Promise<boolean> {
  const at = now(deps);
  const stored = await deps.store.transaction().execute(async (trx) => {
    if ((await sessionById(trx, sessionId))?.state === "unblinded") return false;
    const pots = await brewLog(trx, sessionId);
    for (const { potId, brew } of brews) {
      const attempt = 1 + (pots.find((pot) => pot.potId === potId)?.attempt ?? 0);
      await addBrew(trx, { id: newToken(deps), potId, attempt, record: brew, at });
      // Through JSON, as it is stored: fields that were left empty are not there.
      const body = { potId, attempt, brew: z.json().parse(JSON.parse(JSON.stringify(brew))) };
      await appendEvent(trx, sessionId, { at, actor: `lead:${leadId}`, kind: "brew-logged", body });
    }
    return true;
  });
  if (stored) deps.live.changed(sessionId);
  return stored;
}

function textFields(form: RawForm): Partial<Record<BrewSheetColumn, string>> {
  return Object.fromEntries(
    Object.keys(brewSheetColumns).map((name) => [name, textOf(form, name)]),
  );
}

/** The sheet to fill in: a row for each pot that has no brew yet, in brewing order. */
function emptySheet(pots: readonly PotOnLog[], session: SealedSession): string {
  const columns = Object.keys(brewSheetColumns);
  const rows = pots
    .filter((pot) => pot.brew === null)
    .map((pot) => ({
      coffee: coffeeName(session.plan, pot.coffeeId),
      pot: pot.letter,
      water_label: pot.waterLabel,
      brewer: pot.plannedBrewer,
    }));
  return stringify(rows, { header: true, columns, escape_formulas: true });
}
