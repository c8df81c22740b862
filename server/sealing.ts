import type { Transaction } from "kysely";
import { type Kit, type KitInput, makeKit } from "../src/design/kit.ts";
import { stream } from "../src/design/random.ts";
import { canonicalJson, commit, type Key, keyOf, planHash } from "../src/design/seal.ts";
import { sparesPerPot } from "../src/design/spares.ts";
import type { Plan } from "../src/experiment/plan.ts";
import { setRequests } from "../src/experiment/served-sets.ts";
import { take } from "../src/experiment/session.ts";
import { type Deps, newToken, now } from "./deps.ts";
import { newJoinCode } from "./join-code.ts";
import { appendEvent } from "./store/events.ts";
import { storeKit } from "./store/kit.ts";
import type { Database } from "./store/schema.ts";
import { addSecrets, fixPlan, sessionById, sessionByJoinCode } from "./store/sessions.ts";

export type SealOutcome =
  | { ok: true }
  | { ok: false; refusal: "no-session" | "already-sealed" }
  | { ok: false; refusal: "cannot-serve"; message: string };

/**
 * Seals a draft session under a plan: draws a 256-bit seed and nonce, makes the kit from the seed,
 * and stores plan, kit, key, commitment and join code with the event, all in one transaction.
 * Refuses a session that is sealed, and a plan that no kit can serve.
 */
export async function seal(
  deps: Deps,
  act: { sessionId: string; plan: Plan; actor: string },
): Promise<SealOutcome> {
  const drawn = drawKit(deps, act.plan);
  if (!drawn.ok) return { ok: false, refusal: "cannot-serve", message: drawn.message };
  return await deps.store.transaction().execute(async (trx): Promise<SealOutcome> => {
    const session = await sessionById(trx, act.sessionId);
    if (session === undefined) return { ok: false, refusal: "no-session" };
    if (!take("seal", session.state).ok) return { ok: false, refusal: "already-sealed" };
    await store(deps, trx, act, drawn);
    return { ok: true };
  });
}

/** A kit with the secrets that it was drawn from and is committed by. */
export interface Drawn {
  kit: Kit;
  seed: Uint8Array;
  nonce: Uint8Array;
  key: Key;
  commitment: string;
}

/** Draws a seed, a nonce and the kit of a plan; or says why no kit can serve it. */
export function drawKit(
  deps: Pick<Deps, "randomBytes">,
  plan: Plan,
): ({ ok: true } & Drawn) | { ok: false; message: string } {
  const seed = deps.randomBytes(32);
  const made = makeKit(kitInput(plan), (name) => stream(seed, name));
  if (!made.ok) return { ok: false, message: made.message };
  const nonce = deps.randomBytes(32);
  const key = keyOf(made.kit);
  return { ok: true, kit: made.kit, seed, nonce, key, commitment: commit(key, nonce) };
}

/** The part of a plan that decides who is served what. */
export function kitInput(plan: Plan): KitInput {
  const served = {
    sets: setRequests(plan),
    coffees: plan.coffees.map((coffee) => coffee.id),
    pairsPerCoffee: plan.brewPairsPerCoffee,
    replicates: plan.replicates,
    controls: plan.controls,
    seats: plan.tasters + plan.spareSeats,
    brewers: plan.brewers,
    coffeeOrder: plan.coffeeOrder,
  };
  return { ...served, sparesPerPot: sparesPerPot(served) };
}

async function store(
  deps: Deps,
  trx: Transaction<Database>,
  { sessionId, plan, actor }: { sessionId: string; plan: Plan; actor: string },
  drawn: Drawn,
): Promise<void> {
  const at = now(deps);
  const sealed = { planHash: planHash(plan), commitment: drawn.commitment };
  const planJson = canonicalJson(plan);
  await fixPlan(trx, sessionId, { ...sealed, planJson, joinCode: await freeCode(deps, trx), at });
  await storeDrawn(deps, trx, sessionId, drawn);
  const { seats, pots } = drawn.kit;
  const body = { ...sealed, seats: seats.length, pots: pots.length };
  await appendEvent(trx, sessionId, { at, actor, kind: "sealed", body });
}

/** Stores a kit and its secrets. */
export async function storeDrawn(
  deps: Deps,
  trx: Transaction<Database>,
  sessionId: string,
  { kit, seed, nonce, key }: Drawn,
): Promise<void> {
  const secrets = { seedHex: hex(seed), nonceHex: hex(nonce), keyJson: canonicalJson(key) };
  await addSecrets(trx, sessionId, secrets);
  await storeKit(trx, sessionId, kit, () => newToken(deps));
}

/** A join code that no session has. */
export async function freeCode(deps: Deps, trx: Transaction<Database>): Promise<string> {
  for (;;) {
    const code = newJoinCode(deps);
    if ((await sessionByJoinCode(trx, code)) === undefined) return code;
  }
}

function hex(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString("hex");
}
