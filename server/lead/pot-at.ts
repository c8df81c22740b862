import type { FastifyRequest } from "fastify";
import type { Deps } from "../deps.ts";
import { type SealedSession, sealedSession } from "../sealed-session.ts";
import { brewLog, type PotOnLog } from "../store/brews.ts";

export type PotRoute = { Params: { sessionId: string; potId: string } };

/** A pot that an address names, among the pots of its session. */
export interface PotAt {
  session: SealedSession;
  pots: readonly PotOnLog[];
  pot: PotOnLog;
}

/** The pot of a request's address; undefined when the session has no such pot. */
export async function findPot(
  deps: Deps,
  request: FastifyRequest<PotRoute>,
): Promise<PotAt | undefined> {
  const session = await sealedSession(deps.store, request.params.sessionId);
  if (session === undefined) return undefined;
  const pots = await brewLog(deps.store, session.id);
  const pot = pots.find((candidate) => candidate.potId === request.params.potId);
  return pot && { session, pots, pot };
}

/** The pot that was brewed together with a pot. */
export function otherOfPair({ pots, pot }: Pick<PotAt, "pots" | "pot">): PotOnLog | undefined {
  return pots.find(
    (one) => one.coffeeId === pot.coffeeId && one.pair === pot.pair && one.potId !== pot.potId,
  );
}
