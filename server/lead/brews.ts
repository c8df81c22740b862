import { stringify } from "csv-stringify/sync";
import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import type { BrewRecord } from "../../src/experiment/brew-log.ts";
import {
  type BrewSheetColumn,
  brewSheetColumns,
  readBrewRow,
  rowOfBrew,
} from "../../src/experiment/brew-sheet.ts";
import { coffeeName } from "../../src/experiment/plan.ts";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
  textOf,
} from "../form.ts";
import { dataLocked, type SealedSession, sealedSession } from "../sealed-session.ts";
import { addBrew, brewLog, type PotOnLog } from "../store/brews.ts";
import { appendEvent } from "../store/events.ts";
import { describeExtraction, loggablePots, logRows } from "./brew-pages.ts";

type SessionRoute = { Params: { sessionId: string } };
type PotRoute = { Params: { sessionId: string; potId: string } };

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
        return showForm(reply, at, typedBrew(at), {});
      },
    );
    app.post<PotRoute>(
      "/lead/sessions/:sessionId/brews/:potId",
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const at = await findPot(deps, request);
        if (at === undefined) return sendRefusal(request, reply, notFound);
        if (at.session.state === "unblinded") return sendRefusal(request, reply, dataLocked);
        return await logBrew(deps, request, reply, at);
      },
    );
  };
}

interface PotAt {
  session: SealedSession;
  pots: PotOnLog[];
  pot: PotOnLog;
}

async function findPot(deps: Deps, request: FastifyRequest<PotRoute>): Promise<PotAt | undefined> {
  const session = await sealedSession(deps.store, request.params.sessionId);
  if (session === undefined) return undefined;
  const pots = await brewLog(deps.store, session.id);
  const pot = pots.find((candidate) => candidate.potId === request.params.potId);
  return pot && { session, pots, pot };
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
    return showForm(reply, at, form, errors);
  }
  await storeBrews(deps, leadIn(request).id, at.session.id, [{ pot: at.pot, brew: read.brew }]);
  return reply.redirect(`/lead/sessions/${at.session.id}/brews#pot-${at.pot.potId}`, 303);
}

/** Stores brews, each as the next attempt of its pot, with one event a brew. */
export async function storeBrews(
  deps: Deps,
  leadId: string,
  sessionId: string,
  brews: readonly { pot: PotOnLog; brew: BrewRecord }[],
): Promise<void> {
  const at = now(deps);
  await deps.store.transaction().execute(async (trx) => {
    for (const { pot, brew } of brews) {
      const attempt = pot.attempt + 1;
      await addBrew(trx, { id: newToken(deps), potId: pot.potId, attempt, record: brew, at });
      const body = { potId: pot.potId, attempt, brew };
      await appendEvent(trx, sessionId, { at, actor: `lead:${leadId}`, kind: "brew-logged", body });
    }
  });
  deps.live.changed(sessionId);
}

function showForm(
  reply: FastifyReply,
  at: PotAt,
  values: RawForm,
  errors: FieldErrors,
): FastifyReply {
  const field = fieldMaker(values, errors);
  const coffee = coffeeName(at.session.plan, at.pot.coffeeId);
  return reply.page("lead/brew", {
    title: `Pot ${at.pot.letter} of ${coffee}`,
    session: at.session,
    potId: at.pot.potId,
    again: at.pot.brew !== null,
    extraction: at.pot.brew === null ? null : describeExtraction(at.pot.brew),
    errors: errorSummary(errors),
    waterLabel: field("water_label", "Label on the water container", {
      hint: `This pot gets the water labelled ${at.pot.waterLabel}. Copy the label from the container.`,
    }),
    brewer: field("brewer", "Brewer"),
    masses: [
      field("dose_g", "Dose, g", { type: "decimal" }),
      field("brew_water_g", "Water poured, g", { type: "decimal" }),
      field("beverage_g", "Beverage before any addition, g", { type: "decimal" }),
      field("brew_s", "Brew time, s", { type: "decimal" }),
      field("added_g", "Added after brewing, g", {
        type: "decimal",
        hint: "Dose or sham; 0 if nothing.",
      }),
    ],
    readings: field("tds_percent", "Strength readings, % TDS", {
      hint: "Several readings with a space between them, for example 1.38 1.39 1.38",
    }),
    timings: sampleChoices(textOf(values, "sample")),
    note: field("note", "Note", { type: "long" }),
  });
}

function sampleChoices(chosen: string) {
  const labels = {
    "no-addition": "Nothing is added after brewing",
    "before-addition": "Before the addition",
    "after-addition": "After the addition",
  };
  return Object.entries(labels).map(([value, label]) => ({
    value,
    label,
    checked: value === (chosen || "no-addition"),
  }));
}

function typedBrew({ session, pot }: PotAt): RawForm {
  if (pot.brew !== null) return rowOfBrew(pot.brew, coffeeName(session.plan, pot.coffeeId));
  const { doseGrams, brewWaterGrams } = session.plan.recipe;
  return {
    brewer: pot.plannedBrewer,
    dose_g: String(doseGrams),
    brew_water_g: String(brewWaterGrams),
    added_g: "0",
  };
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
