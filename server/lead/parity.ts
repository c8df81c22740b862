import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { z } from "zod";
import { brewerParity, type ParityRun } from "../../src/brew/parity.ts";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  errorsByField,
  type FieldErrors,
  fieldMaker,
  formOf,
  numberFrom,
  type RawForm,
  textOf,
} from "../form.ts";
import { dataLocked, type SealedSession, sealedSession } from "../sealed-session.ts";
import { addBlankRun, blankRuns } from "../store/blank-runs.ts";
import { appendEvent } from "../store/events.ts";
import { sessionById } from "../store/sessions.ts";

type SessionRoute = { Params: { sessionId: string } };

/** Brewers agree within these on blank runs: common practice, no source. */
const TOLERANCE = { seconds: 10, grams: 10 };

const measured = (what: string, most: number) =>
  z
    .string()
    .transform((text) => numberFrom(text))
    .pipe(
      z
        .number(`Give the ${what} as a number`)
        .gt(0, `The ${what} must be more than 0`)
        .max(most, `A ${what} above ${most} looks like a slip`),
    );
const runSchema = z.object({
  brewer: z.string().min(1, "Choose the brewer"),
  seconds: measured("brew time", 100_000),
  grams: measured("beverage", 50_000),
});

/** Are the brewers alike? Blank runs of the same water and coffee, compared before anything is tasted. */
export function parity(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const path = "/lead/sessions/:sessionId/parity";
    app.get<SessionRoute>(path, { config }, async (request, reply) => {
      const session = await sealedSession(deps.store, request.params.sessionId);
      if (session === undefined) return sendRefusal(request, reply, notFound);
      return await showParity(deps, reply, session, {}, {});
    });
    app.post<SessionRoute>(
      path,
      { config, preHandler: app.csrfProtection },
      async (request, reply) => {
        const session = await sealedSession(deps.store, request.params.sessionId);
        if (session === undefined) return sendRefusal(request, reply, notFound);
        const form = formOf(request.body);
        const parsed = runSchema.safeParse({
          brewer: session.plan.brewers.find((brewer) => brewer === textOf(form, "brewer")) ?? "",
          seconds: textOf(form, "seconds"),
          grams: textOf(form, "grams"),
        });
        if (!parsed.success) {
          reply.code(422);
          return await showParity(deps, reply, session, form, errorsByField(parsed.error));
        }
        const { brewer, seconds: brewSeconds, grams: beverageGrams } = parsed.data;
        const run = { brewer, brewSeconds, beverageGrams };
        const logged = await logRun(deps, leadIn(request).id, session.id, run);
        if (!logged) return sendRefusal(request, reply, dataLocked);
        return await reply.redirect(`/lead/sessions/${session.id}/parity`, 303);
      },
    );
  };
}

/** Stores a blank run with its event; false when the session has been unblinded meanwhile. */
async function logRun(
  deps: Deps,
  leadId: string,
  sessionId: string,
  run: ParityRun,
): Promise<boolean> {
  const at = now(deps);
  const { brewer, brewSeconds, beverageGrams } = run;
  return await deps.store.transaction().execute(async (trx) => {
    if ((await sessionById(trx, sessionId))?.state === "unblinded") return false;
    await addBlankRun(trx, { ...run, id: newToken(deps), sessionId, at });
    const body = { brewer, brewSeconds, beverageGrams };
    await appendEvent(trx, sessionId, { at, actor: `lead:${leadId}`, kind: "blank-run", body });
    return true;
  });
}

async function showParity(
  deps: Deps,
  reply: FastifyReply,
  session: SealedSession,
  values: RawForm,
  errors: FieldErrors,
): Promise<FastifyReply> {
  const field = fieldMaker(values, errors);
  const runs = await blankRuns(deps.store, session.id);
  return reply.page("lead/parity", {
    title: "Are the brewers alike?",
    session,
    errors: errorSummary(errors),
    brewers: session.plan.brewers.map((name) => ({
      name,
      chosen: name === textOf(values, "brewer"),
    })),
    brewerError: errors.brewer ?? null,
    measures: [
      field("seconds", "Brew time, s", { type: "decimal" }),
      field("grams", "Beverage, g", { type: "decimal" }),
    ],
    runs,
    tolerance: TOLERANCE,
    verdict: verdict(runs),
  });
}

function verdict(runs: readonly ParityRun[]) {
  const found = brewerParity(runs, TOLERANCE);
  if (!found.ok) return null;
  const { differences, intervals, means, passes } = found;
  const range = ({ lower, upper }: { lower: number | null; upper: number | null }) =>
    lower === null || upper === null
      ? "repeat the runs for an interval"
      : `95 % interval ${lower.toFixed(1)} to ${upper.toFixed(1)}`;
  return {
    passes,
    seconds: `${differences.seconds.toFixed(1)} s apart (${range(intervals.seconds)})`,
    grams: `${differences.grams.toFixed(1)} g apart (${range(intervals.grams)})`,
    means: means.map((mean) => ({
      brewer: mean.brewer,
      runs: mean.runs,
      seconds: mean.brewSeconds.toFixed(1),
      grams: mean.beverageGrams.toFixed(1),
    })),
  };
}
