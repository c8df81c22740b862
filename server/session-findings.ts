import type { Plan } from "../src/experiment/plan.ts";
import { analyse } from "../src/report/analysis.ts";
import type { Evidence } from "../src/report/evidence.ts";
import type { Findings } from "../src/report/findings.ts";
import { type Memory, makeMemory } from "./memory.ts";
import type { Store } from "./store/database.ts";
import { chainHead } from "./store/events.ts";
import { evidenceOf } from "./store/evidence.ts";

export interface SessionFindings {
  evidence: Evidence;
  findings: Findings;
}

/** How many sessions are remembered: a few readers at a time, each reloading. */
const REMEMBERED = 8;

const memories = new WeakMap<Store, Memory<SessionFindings>>();

/**
 * The findings of an unblinded session. They are remembered by the head of its log: whatever changes
 * a session lengthens its log, so that a reader's reload is quick and never stale.
 */
export async function findingsOf(
  db: Store,
  session: { id: string; plan: Plan },
): Promise<SessionFindings> {
  const memory = memories.get(db) ?? makeMemory(REMEMBERED, () => 1);
  memories.set(db, memory);
  return await memory(session.id, await chainHead(db, session.id), () => analysed(db, session));
}

async function analysed(
  db: Store,
  { id, plan }: { id: string; plan: Plan },
): Promise<SessionFindings> {
  const evidence = await evidenceOf(db, id, plan);
  return { evidence, findings: analyse(evidence) };
}
