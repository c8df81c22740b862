import { type Deps, now } from "./deps.ts";
import { appendEvent } from "./store/events.ts";
import { eraseNames, sessionsWithNames } from "./store/names.ts";

const DAY_MILLISECONDS = 86_400_000;

/**
 * Erases names and comments of sessions whose key was opened at least as many days ago as the
 * retention setting says, each with its event. Answers stay, without a name. Returns the number of
 * sessions erased; with a setting of 0 none.
 */
export async function eraseExpired(deps: Deps): Promise<number> {
  if (deps.retentionDays === 0) return 0;
  const latest = deps.clock().getTime() - deps.retentionDays * DAY_MILLISECONDS;
  const due = await sessionsWithNames(deps.store, new Date(latest).toISOString());
  for (const sessionId of due) {
    await deps.store.transaction().execute(async (trx) => {
      const seats = await eraseNames(trx, sessionId);
      const body = { seats, retentionDays: deps.retentionDays };
      const act = { at: now(deps), actor: "system", kind: "names-erased", body };
      await appendEvent(trx, sessionId, act);
    });
  }
  return due.length;
}

/** Erases what is due now and then once a day; returns what stops it. A failure is only told. */
export async function keepErasing(
  deps: Deps,
  failed: (error: unknown) => void,
): Promise<() => void> {
  await eraseExpired(deps);
  const timer = setInterval(() => void eraseExpired(deps).catch(failed), DAY_MILLISECONDS);
  timer.unref();
  return () => clearInterval(timer);
}
