import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { comparisonsAmong } from "../../src/report/synthesis/comparisons.ts";
import { type Question, questionOf, questionSlug } from "../../src/report/synthesis/question.ts";
import { importedSentence } from "../../src/report/synthesis/wording.ts";
import { questionWords } from "../../src/report/wording/questions.ts";
import type { Deps } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { experimentById, listExperiments } from "../store/experiments.ts";
import { listSessions } from "../store/sessions.ts";
import { ionsView } from "./evidence-ions.ts";
import {
  asking,
  importedAmong,
  type OpenedSession,
  openedAmong,
  type ReadSession,
  readSessions,
} from "./evidence-sessions.ts";
import { type Gathered, gatheredView } from "./evidence-view.ts";

/** What sessions say together: those of one experiment, and all that asked the same question. */
export function evidencePages(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    app.get<ExperimentRoute>(
      "/lead/experiments/:experimentId/evidence",
      { config },
      (request, reply) => showExperiment(deps, request, reply),
    );
    app.get("/lead/evidence", { config }, async (_request, reply) => {
      const sessions = openedAmong(await listSessions(deps.store));
      return reply.page("report/evidence-shelf", {
        title: "Evidence",
        questions: questionsIn(sessions).map((question) => shelfLine(question, sessions)),
      });
    });
    app.get<QuestionRoute>("/lead/evidence/:question", { config }, (request, reply) =>
      showQuestion(deps, request, reply),
    );
  };
}

type ExperimentRoute = { Params: { experimentId: string } };
type QuestionRoute = { Params: { question: string } };

async function showExperiment(
  deps: Deps,
  request: FastifyRequest<ExperimentRoute>,
  reply: FastifyReply,
): Promise<FastifyReply> {
  const experiment = await experimentById(deps.store, request.params.experimentId);
  if (experiment === undefined) return sendRefusal(request, reply, notFound);
  const sessions = await listSessions(deps.store, experiment.id);
  const read = await readSessions(deps.store, openedAmong(sessions));
  return reply.page("report/evidence-experiment", {
    title: `Evidence: ${experiment.title}`,
    stylesheet: "report.css",
    experimentId: experiment.id,
    experiment: experiment.title,
    imported: importedSentence(importedAmong(sessions).length),
    questions: questionsIn(read.map(({ session }) => session)).map((question) => ({
      name: questionWords(question),
      slug: questionSlug(question),
      ...gatheredView(ofExperiment(question, read)),
    })),
  });
}

async function showQuestion(
  deps: Deps,
  request: FastifyRequest<QuestionRoute>,
  reply: FastifyReply,
): Promise<FastifyReply> {
  const slug = request.params.question;
  const sessions = await listSessions(deps.store);
  const all = openedAmong(sessions);
  const question = questionsIn(all).find((one) => questionSlug(one) === slug);
  if (question === undefined) return sendRefusal(request, reply, notFound);
  const asked = all.filter(({ plan }) => asking(plan, slug) !== undefined);
  const titles = new Map((await listExperiments(deps.store)).map(({ id, title }) => [id, title]));
  const read = await readSessions(deps.store, asked);
  return reply.page("report/evidence-question", {
    title: `Evidence: ${questionWords(question)}`,
    stylesheet: "report.css",
    name: questionWords(question),
    imported: importedSentence(
      importedAmong(sessions).filter((plan) => asking(plan, slug) !== undefined).length,
    ),
    comparisons: comparisonsOf(question, read, titles),
    ions: ionsView(question, read),
  });
}

/** Every question that the sessions' plans ask, each once, main questions first. */
function questionsIn(sessions: readonly OpenedSession[]): Question[] {
  const endpoints = sessions.flatMap(({ plan }) => plan.endpoints);
  const mainFirst = endpoints.toSorted(
    (a, b) => Number(b.role === "primary") - Number(a.role === "primary"),
  );
  const questions = mainFirst.map((endpoint) => questionOf(endpoint));
  return [
    ...new Map(questions.toReversed().map((one) => [questionSlug(one), one])).values(),
  ].toReversed();
}

function shelfLine(question: Question, sessions: readonly OpenedSession[]) {
  const slug = questionSlug(question);
  const asked = sessions.filter(({ plan }) => asking(plan, slug) !== undefined);
  return {
    slug,
    name: questionWords(question),
    sessions: asked.length,
    experiments: new Set(asked.map(({ experimentId }) => experimentId)).size,
    coffees: new Set(asked.flatMap(({ plan }) => plan.coffees.map(({ name }) => name))).size,
    withIons: asked.filter(
      ({ plan: { treatments } }) =>
        treatments.A.addedIons !== undefined && treatments.B.addedIons !== undefined,
    ).length,
  };
}

function ofExperiment(question: Question, read: readonly ReadSession[]): Gathered {
  const treatments = read[0]?.session.plan.treatments;
  return {
    question,
    slug: questionSlug(question),
    sides: { towards: treatments?.B.name ?? "B", against: treatments?.A.name ?? "A" },
    sessions: read.map((one) => ({ read: one, label: dated(one.session), swapped: false })),
  };
}

const dated = ({ name, heldOn }: OpenedSession) => (heldOn === null ? name : `${name}, ${heldOn}`);

function comparisonsOf(
  question: Question,
  read: readonly ReadSession[],
  titles: ReadonlyMap<string, string>,
) {
  const compared = read.map((one) => ({ treatments: one.session.plan.treatments, read: one }));
  return comparisonsAmong(compared).map((comparison, i) => {
    const { towards, against, members, kind } = comparison;
    const gathered: Gathered = {
      question,
      slug: questionSlug(question),
      sides: { towards, against: against ?? "others" },
      sessions: members.map(({ of, swapped }) => ({
        read: of.read,
        label: `${titles.get(of.read.session.experimentId) ?? ""}: ${dated(of.read.session)}`,
        swapped,
      })),
    };
    return {
      id: `comparison-${i + 1}`,
      shared: kind === "shared-treatment",
      towards,
      against,
      ...gatheredView(gathered),
    };
  });
}
