import { createHash } from "node:crypto";
import type { Transaction } from "kysely";
import { z } from "zod";
import { canonicalJson, planHash } from "../../src/design/seal.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { Evidence } from "../../src/report/evidence.ts";
import { unblindedBallotSchema, unblindedPotSchema } from "../../src/report/evidence-schema.ts";
import type { Store } from "./database.ts";
import { appendEvent } from "./events.ts";
import type { Database } from "./schema.ts";

/** What a panel's file holds: all of the evidence but the plan. */
const panelSchema = z.object({
  seatsStarted: z.int(),
  ballotsExpected: z.int(),
  ballots: z.array(unblindedBallotSchema),
  pots: z.array(unblindedPotSchema),
});
export type ImportedPanel = z.infer<typeof panelSchema>;

export interface PanelToImport {
  sessionId: string;
  experimentId: string;
  name: string;
  heldOn: string | null;
  plan: Plan;
  /** Unused by tasters, yet every session has one. */
  joinCode: string;
  panel: ImportedPanel;
  fileSha256: string;
  actor: string;
  at: string;
}

/** Stores an outside panel as a session of its own, with its data final from the start. */
export async function addImportedSession(
  trx: Transaction<Database>,
  { sessionId, plan, panel, fileSha256, at, actor, ...session }: PanelToImport,
): Promise<void> {
  await trx
    .insertInto("sessions")
    .values({
      id: sessionId,
      experiment_id: session.experimentId,
      name: session.name,
      held_on: session.heldOn,
      state: "unblinded",
      origin: "imported",
      plan_json: canonicalJson(plan),
      plan_hash: planHash(plan),
      // There was no key here to commit to.
      commitment: "",
      join_code: session.joinCode,
      created_at: at,
      unblinded_at: at,
    })
    .execute();
  const evidenceJson = canonicalJson(panel);
  await trx
    .insertInto("imported_panels")
    .values({ session_id: sessionId, evidence_json: evidenceJson, file_sha256: fileSha256 })
    .execute();
  const body = {
    experimentId: session.experimentId,
    planHash: planHash(plan),
    fileSha256,
    answersSha256: sha256(evidenceJson),
    sets: panel.ballots.length,
  };
  await appendEvent(trx, sessionId, { at, actor, kind: "imported", body });
}

/** The evidence of an imported session; null for a session that was run here. */
export async function importedEvidence(
  db: Store,
  sessionId: string,
  plan: Plan,
): Promise<Evidence | null> {
  const row = await db
    .selectFrom("imported_panels")
    .select("evidence_json")
    .where("session_id", "=", sessionId)
    .executeTakeFirst();
  if (row === undefined) return null;
  const panel = panelSchema.parse(JSON.parse(row.evidence_json));
  return { ...panel, plan, origin: "imported", blind: { openedEarly: [], leadSawSheets: [] } };
}

/** SHA-256 of an imported session's answers as they are stored. */
export async function importedAnswersHash(db: Store, sessionId: string): Promise<string> {
  const row = await db
    .selectFrom("imported_panels")
    .select("evidence_json")
    .where("session_id", "=", sessionId)
    .executeTakeFirst();
  return sha256(row?.evidence_json ?? "");
}

function sha256(text: string): string {
  return createHash("sha256").update(text, "utf8").digest("hex");
}
