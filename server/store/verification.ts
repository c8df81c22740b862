import { type Kit, makeKit } from "../../src/design/kit.ts";
import { stream } from "../../src/design/random.ts";
import { canonicalJson, commit, keyOf, planHash } from "../../src/design/seal.ts";
import type { SessionEvent } from "../../src/experiment/event.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { type Check, chainCheck, wasSealed } from "../../src/report/verification.ts";
import { SETS_AS_KEYED, setsUnlikeKey } from "../../src/report/verify-sets.ts";
import { kitInput } from "../sealing.ts";
import type { Store } from "./database.ts";
import { eventsOf } from "./events.ts";
import { heldSets } from "./held-sets.ts";
import { importedAnswersHash } from "./imported-panels.ts";
import { listSessions, type SealedPart, type SessionSecrets, secretsOf } from "./sessions.ts";

/** What was found of one sealed session in a data file. */
export interface SessionChecks {
  name: string;
  checks: Check[];
}

/**
 * Checks every sealed session of a data file against its log, seed and plan: finds an edit made
 * behind the program's back, whether of plan, key, cups, ballots or events.
 */
export async function verifyStore(db: Store): Promise<SessionChecks[]> {
  const sessions = await listSessions(db);
  const found: SessionChecks[] = [];
  for (const session of sessions) {
    const { id, name, sealed } = session;
    if (sealed === null) continue;
    if (session.origin === "imported") {
      found.push({ name, checks: await importedChecks(db, id, sealed) });
      continue;
    }
    const secrets = await secretsOf(db, id);
    const events = await eventsOf(db, id);
    const kit = kitFrom(sealed.plan, secrets);
    found.push({
      name,
      checks: [
        hold("The plan has the hash it was sealed with", planHash(sealed.plan) === sealed.planHash),
        chainCheck(events),
        hold("The log sealed this plan and this key", wasSealed(events, sealed)),
        hold(
          "Key and nonce are those that were committed to",
          committed(secrets, sealed.commitment),
        ),
        hold(
          "Seed and plan give this key again",
          kit !== null && canonicalJson(keyOf(kit)) === secrets.keyJson,
        ),
        hold("Every pot holds what the key says", kit !== null && (await potsAsDrawn(db, id, kit))),
        await setsAsDrawn(db, id, kit, events),
        await ballotsAsLogged(db, id, events),
      ],
    });
  }
  return found;
}

/** An imported session has no key: its plan, log and answers are all that can have moved. */
async function importedChecks(
  db: Store,
  sessionId: string,
  { plan, planHash: hash }: SealedPart,
): Promise<Check[]> {
  const events = await eventsOf(db, sessionId);
  const [imported] = events.filter(({ kind }) => kind === "imported");
  const answers = await importedAnswersHash(db, sessionId);
  return [
    hold("The plan has the hash it was imported under", planHash(plan) === hash),
    chainCheck(events),
    hold("The log imported this plan", imported?.body.planHash === hash),
    hold("The answers are as the log has them", imported?.body.answersSha256 === answers),
  ];
}

function hold(what: string, ok: boolean, detail: string | null = null): Check {
  return { what, ok, detail: ok ? null : detail };
}

function kitFrom(plan: Plan, { seedHex }: SessionSecrets): Kit | null {
  const seed = new Uint8Array(Buffer.from(seedHex, "hex"));
  const made = makeKit(kitInput(plan), (name) => stream(seed, name));
  return made.ok ? made.kit : null;
}

function committed({ keyJson, nonceHex }: SessionSecrets, commitment: string): boolean {
  return commit(JSON.parse(keyJson), new Uint8Array(Buffer.from(nonceHex, "hex"))) === commitment;
}

async function potsAsDrawn(db: Store, sessionId: string, kit: Kit): Promise<boolean> {
  const rows = await db
    .selectFrom("pots")
    .innerJoin("pot_keys", "pot_keys.pot_id", "pots.id")
    .select(["pots.coffee_id", "pots.pair", "pots.letter", "pot_keys.treatment"])
    .where("pots.session_id", "=", sessionId)
    .execute();
  const stored = rows.map((pot) => [pot.coffee_id, pot.pair, pot.letter, pot.treatment].join("/"));
  const drawn = kit.pots.map((pot) =>
    [pot.coffeeId, pot.pair, pot.letter, pot.treatment].join("/"),
  );
  return stored.sort().join() === drawn.sort().join();
}

/** Each set that is stored, answered or not, against what the seed draws and the log changed. */
async function setsAsDrawn(
  db: Store,
  sessionId: string,
  kit: Kit | null,
  events: readonly SessionEvent[],
): Promise<Check> {
  const held = await heldSets(db, sessionId);
  const strange = kit === null ? held.length : setsUnlikeKey(held, keyOf(kit), events);
  return hold(SETS_AS_KEYED, kit !== null && strange === 0, `${strange} differ`);
}

/** Each stored ballot against the event that stored it: changed, removed and smuggled ones show. */
async function ballotsAsLogged(
  db: Store,
  sessionId: string,
  events: readonly SessionEvent[],
): Promise<Check> {
  const rows = await db
    .selectFrom("ballots")
    .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
    .innerJoin("seats", "seats.id", "presentations.seat_id")
    .select(["seats.id as seatId", "presentations.ordinal", "ballots.answers_json as answers"])
    .where("seats.session_id", "=", sessionId)
    .execute();
  const stored = new Map(
    rows.map((row) => [
      `seat:${row.seatId}/${row.ordinal}`,
      canonicalJson(JSON.parse(row.answers)),
    ]),
  );
  const logged = new Map(
    events
      .filter(({ kind }) => kind === "ballot-stored")
      .map(({ actor, body }) => [`${actor}/${String(body.ordinal)}`, canonicalJson(body.answers)]),
  );
  const names = new Set([...stored.keys(), ...logged.keys()]);
  const strange = [...names].filter((name) => stored.get(name) !== logged.get(name)).length;
  return hold("Every ballot is as the log has it", strange === 0, `${strange} are not`);
}
