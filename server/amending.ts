import type { Transaction } from "kysely";
import { canonicalJson, planHash } from "../src/design/seal.ts";
import {
  type AmendmentOutcome,
  type AmendmentRefusal,
  admitAmendment,
} from "../src/experiment/amendment.ts";
import type { Plan } from "../src/experiment/plan.ts";
import { type Deps, now } from "./deps.ts";
import { draftOf } from "./lead/plan-form.ts";
import { drawKit, kitInput, storeDrawn } from "./sealing.ts";
import { kitInUse, removeKit, replacePlan } from "./store/amendments.ts";
import type { Store } from "./store/database.ts";
import { appendEvent, eventsOf } from "./store/events.ts";
import { experimentById, saveDraft } from "./store/experiments.ts";
import { linksOf, revokeLink } from "./store/links.ts";
import type { Database } from "./store/schema.ts";
import { listSessions, type Session, sessionById } from "./store/sessions.ts";

export interface Amending {
  sessionId: string;
  /** The plan as it shall be. */
  plan: Plan;
  /** Hash of the plan that was amended, so that nobody else's amendment is overwritten. */
  fromPlanHash: string;
  reason: string;
  actor: string;
}

export type AmendingOutcome =
  | { ok: true }
  | { ok: false; refusal: AmendmentRefusal | "no-session" | "overtaken" }
  | { ok: false; refusal: "cannot-serve"; message: string };

/**
 * Amends the plan of a sealed session in one transaction with its event. A plan that serves the same
 * cups keeps kit, key and commitment; one that serves others gets a new kit from a new seed, and
 * every link to a sheet of the old one ends.
 */
export async function amend(deps: Deps, act: Amending): Promise<AmendingOutcome> {
  const drawn = drawKit(deps, act.plan);
  if (!drawn.ok) return { ok: false, refusal: "cannot-serve", message: drawn.message };
  return await deps.store.transaction().execute(async (trx): Promise<AmendingOutcome> => {
    const session = await sessionById(trx, act.sessionId);
    if (!session?.sealed) return { ok: false, refusal: session ? "not-sealed" : "no-session" };
    if (session.sealed.planHash !== act.fromPlanHash) return { ok: false, refusal: "overtaken" };
    const outcome = await amendmentOf(trx, session, session.sealed.plan, act.plan);
    if (!outcome.ok) return outcome;
    const hash = planHash(act.plan);
    const planJson = canonicalJson(act.plan);
    const { commitment: keptCommitment, planHash: previousPlanHash } = session.sealed;
    const anew = outcome.kit === "drawn-anew";
    const commitment = anew ? drawn.commitment : keptCommitment;
    if (anew) await removeKit(trx, session.id);
    await replacePlan(trx, session.id, { planJson, planHash: hash, commitment });
    if (anew) await storeDrawn(deps, trx, session.id, drawn);
    if (anew) await endSheetLinks(deps, trx, session.id, act.actor);
    await followInDraft(deps, trx, session, act.plan);
    const { kit, changes } = outcome;
    const { reason, actor } = act;
    // Spread anew: an event's body is plain JSON.
    const parts = changes.map((change) => ({ ...change }));
    const body = { planHash: hash, previousPlanHash, commitment, kit, reason, changes: parts };
    await appendEvent(trx, session.id, { at: now(deps), actor, kind: "amended", body });
    return { ok: true };
  });
}

/** What an amendment of a session's plan would do, or why it can't be. */
export async function amendmentOf(
  db: Store | Transaction<Database>,
  session: Session,
  before: Plan,
  after: Plan,
): Promise<AmendmentOutcome> {
  const events = await eventsOf(db, session.id);
  const sessions = await listSessions(db, session.experimentId);
  return admitAmendment({
    state: session.state,
    planShared: sessions.some(({ id, sealed }) => id !== session.id && sealed !== null),
    joined: events.some(({ kind }) => kind === "taster-joined"),
    kitInUse: kitInUse(events),
    kitChanges: canonicalJson(kitInput(before)) !== canonicalJson(kitInput(after)),
    before,
    after,
  });
}

async function endSheetLinks(
  deps: Deps,
  trx: Transaction<Database>,
  sessionId: string,
  actor: string,
): Promise<void> {
  const at = now(deps);
  for (const { id, shows } of await linksOf(trx, sessionId)) {
    if (shows === "report" || !(await revokeLink(trx, { id, sessionId, at }))) continue;
    await appendEvent(trx, sessionId, { at, actor, kind: "link-revoked", body: { linkId: id } });
  }
}

/** The experiment's form follows, so that a copy starts from the plan as it stands. */
async function followInDraft(
  deps: Deps,
  trx: Transaction<Database>,
  { experimentId }: Session,
  plan: Plan,
): Promise<void> {
  const experiment = await experimentById(trx, experimentId);
  if (experiment === undefined) return;
  const { id, updatedAt: version } = experiment;
  const draft = draftOf(plan);
  await saveDraft(trx, { id, title: plan.title, draft, version, at: now(deps) });
}
