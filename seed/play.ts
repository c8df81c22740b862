import type { FastifyInstance } from "fastify";
import type { Deps } from "../server/deps.ts";
import { makeInvitation } from "../server/lead/invitation.ts";
import { draftOf } from "../server/lead/plan-form.ts";
import type { Answers } from "../src/experiment/ballot.ts";
import type { Plan } from "../src/experiment/plan.ts";
import { Visitor } from "./visitor.ts";

/** Signs up the first lead through the set-up link. */
export async function firstLead(
  app: FastifyInstance,
  deps: Deps,
  person: { name: string; passphrase: string },
): Promise<Visitor> {
  const token = await makeInvitation(deps, { purpose: "set-up", leadId: null });
  const lead = new Visitor(app);
  await lead.get(`/enter/${token}`);
  const entered = await lead.post(`/enter/${token}`, { ...person, again: person.passphrase });
  expectRedirect(entered);
  return lead;
}

/** Writes a plan into the form and saves it; answers the experiment's id. */
export async function planExperiment(lead: Visitor, plan: Plan): Promise<string> {
  await lead.get("/lead/experiments/new");
  const saved = await lead.post("/lead/experiments", { ...draftOf(plan) });
  return idIn(expectRedirect(saved), "experiments");
}

/** Sets up a session and seals the plan; answers the session's id. */
export async function sealSession(
  lead: Visitor,
  experimentId: string,
  session: { sessionName: string; heldOn: string },
): Promise<string> {
  await lead.get(`/lead/experiments/${experimentId}`);
  const setUp = await lead.post(`/lead/experiments/${experimentId}/sessions`, session);
  const sealPage = expectRedirect(setUp);
  const { body } = await lead.get(sealPage);
  const planHash = /name="planHash" value="([0-9a-f]{64})"/.exec(body)?.[1] ?? "";
  expectRedirect(await lead.post(sealPage, { planHash }));
  return idIn(sealPage, "sessions");
}

/** Takes the next step of a session's life. */
export async function step(
  lead: Visitor,
  sessionId: string,
  act: "opening" | "closure" | "unblinding",
): Promise<void> {
  await lead.get(`/lead/sessions/${sessionId}`);
  expectRedirect(await lead.post(`/lead/sessions/${sessionId}/${act}`, {}));
}

/** Joins as a taster: reads the first page, consents, gets a seat. */
export async function joinAsTaster(
  app: FastifyInstance,
  joinCode: string,
  name: string,
): Promise<Visitor> {
  const taster = new Visitor(app);
  await taster.get(`/join/${joinCode}`);
  const form = { name, language: "en", consent: "yes", spit: "yes" };
  expectRedirect(await taster.post(`/join/${joinCode}`, form));
  return taster;
}

/** Answers one set and locks it. */
export async function answerSet(
  taster: Visitor,
  ordinal: number,
  answers: Answers,
  comment = "",
): Promise<void> {
  const { body } = await taster.get(`/taste/${ordinal}`);
  const key = /name="key" value="([^"]+)"/.exec(body)?.[1] ?? "";
  const sent = await taster.post(`/taste/${ordinal}`, {
    ...fieldsOf(answers),
    key,
    comment,
    step: "lock",
  });
  expectRedirect(sent);
}

/** Answers as the form's fields. */
export function fieldsOf(answers: Answers): Record<string, string> {
  const fields = Object.entries(answers).flatMap(([id, answer]): [string, string][] => {
    if ("scores" in answer) {
      return Object.entries(answer.scores).map(([code, score]) => [`${id}-${code}`, String(score)]);
    }
    return [[id, "chosen" in answer ? answer.chosen : "cannot-tell"]];
  });
  return Object.fromEntries(fields);
}

function expectRedirect(response: {
  statusCode: number;
  body: string;
  headers: { location?: string | undefined };
}): string {
  if (response.statusCode === 303 && response.headers.location !== undefined) {
    return response.headers.location;
  }
  const complaint = /class="(?:error|summary|caution)".*?<\/(?:p|div)>/s.exec(response.body)?.[0];
  throw new Error(
    `The page answered ${response.statusCode}: ${complaint ?? response.body.slice(0, 2000)}`,
  );
}

function idIn(path: string, noun: string): string {
  return new RegExp(`/${noun}/([^/?]+)`).exec(path)?.[1] ?? "";
}
