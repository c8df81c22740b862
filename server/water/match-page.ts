import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { type FieldErrors, formOf, textOf } from "../form.ts";
import { listExperiments } from "../store/experiments.ts";
import { addMatch, matchById, type SavedMatch } from "../store/waters.ts";
import { emptyMatch, inUnits, type MatchDraft, typedMatch, unitsOf } from "./match-draft.ts";
import { matchForm } from "./match-form.ts";
import { readMatch } from "./match-plan.ts";
import { type MatchResult, matchResult } from "./match-result.ts";

type MatchRoute = { Params: { matchId: string } };

/** The match page: from an empty form to what to weigh for both arms, saved under a name. */
export function matchPage(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    app.get("/lead/water/match", { config }, async (request, reply) => {
      const experimentId = textOf(formOf(request.query), "experiment");
      return await showMatch(deps, reply, { draft: { ...emptyMatch, experimentId } });
    });
    app.post("/lead/water/match", { config, preHandler: app.csrfProtection }, (request, reply) =>
      answerMatch(deps, request, reply),
    );
    app.get<MatchRoute>("/lead/water/matches/:matchId", { config }, async (request, reply) => {
      const saved = await matchById(deps.store, request.params.matchId);
      if (saved === undefined) return sendRefusal(request, reply, notFound);
      const draft = reopened(saved);
      const read = readMatch(draft);
      const view = read.ok ? { result: matchResult(draft, read.request) } : { errors: read.errors };
      return await showMatch(deps, reply, { draft, saved, ...view });
    });
  };
}

/** Works out what was typed, writes it in other units, or saves it. */
async function answerMatch(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<FastifyReply> {
  const form = formOf(request.body);
  const draft = typedMatch(form);
  const act = textOf(form, "act");
  if (act === "units") return await showMatch(deps, reply, { draft: inOtherUnits(draft) });
  const read = readMatch(draft);
  if (!read.ok) {
    reply.code(422);
    return await showMatch(deps, reply, { draft, errors: read.errors });
  }
  const result = matchResult(draft, read.request);
  if (act !== "save") return await showMatch(deps, reply, { draft, result });
  const saved = await saveMatch(deps, draft, leadIn(request).id);
  if (saved.ok) return await reply.redirect(`/lead/water/matches/${saved.id}`, 303);
  reply.code(422);
  return await showMatch(deps, reply, { draft, result, errors: saved.errors });
}

/** A saved match as its writer left it, in the units that it was typed in. */
export function reopened({ draft, name, experimentId }: SavedMatch): MatchDraft {
  const kept = { ...emptyMatch, ...draft, name, experimentId: experimentId ?? "" };
  return inUnits({ ...kept, units: "metric" }, unitsOf(kept));
}

function inOtherUnits(draft: MatchDraft): MatchDraft {
  return inUnits(draft, unitsOf(draft) === "us" ? "metric" : "us");
}

type Saved = { ok: true; id: string } | { ok: false; errors: FieldErrors };

/** Amounts are kept in g, mL and °C, whatever they were typed in. */
async function saveMatch(deps: Deps, draft: MatchDraft, leadId: string): Promise<Saved> {
  const name = (draft.name ?? "").trim();
  if (name === "" || name.length > 80) {
    return { ok: false, errors: { name: "Give the match a name of 1 to 80 characters." } };
  }
  const known = await listExperiments(deps.store);
  const experimentId = draft.experimentId === "" ? null : (draft.experimentId ?? null);
  if (experimentId !== null && !known.some(({ id }) => id === experimentId)) {
    return { ok: false, errors: { experimentId: "Choose an experiment of the list, or none." } };
  }
  const id = newToken(deps);
  const kept = { ...inUnits(draft, "metric"), units: unitsOf(draft) };
  const match = { id, name, experimentId, draft: kept, createdBy: leadId, at: now(deps) };
  const added = await deps.store.transaction().execute((trx) => addMatch(trx, match));
  if (added) return { ok: true, id };
  return { ok: false, errors: { name: `There is a match called ${name}: give another name.` } };
}

interface MatchView {
  draft: MatchDraft;
  errors?: FieldErrors;
  result?: MatchResult;
  saved?: SavedMatch;
}

async function showMatch(deps: Deps, reply: FastifyReply, view: MatchView): Promise<FastifyReply> {
  const { draft, errors = {}, result = null, saved = null } = view;
  const experiments = await listExperiments(deps.store);
  return reply.page("water/match", {
    title: saved?.name ?? "Match waters",
    stylesheet: "water.css",
    form: matchForm(draft, errors),
    experiment: {
      error: errors.experimentId ?? null,
      options: [{ id: "", title: "None" }, ...experiments].map(({ id, title }) => ({
        value: id,
        label: title,
        selected: id === draft.experimentId,
      })),
    },
    result,
    saved,
  });
}
