import { z } from "zod";
import { canonicalJson, type Key, keySchema, planHash, verifyUnblinding } from "../design/seal.ts";
import { setKinds } from "../design/serving-orders.ts";
import { answersSchema } from "../experiment/ballot.ts";
import { type SessionEvent, sessionEventSchema, verifyChain } from "../experiment/event.ts";
import { planSchema } from "../experiment/plan.ts";
import { SETS_AS_KEYED, setsUnlikeKey } from "./verify-sets.ts";

/** One thing that was checked, in words, and whether it held. */
export interface Check {
  what: string;
  ok: boolean;
  /** What was found, when it did not hold. */
  detail: string | null;
}

const ballotSchema = z.object({
  seatId: z.string(),
  ordinal: z.int(),
  cups: z.array(
    z.object({
      position: z.int(),
      code: z.string(),
      potLetter: z.string(),
      treatment: z.enum(["A", "B"]),
    }),
  ),
  coffeeId: z.string(),
  pair: z.int(),
  replicate: z.int(),
  control: z.enum(["same-pot", "same-treatment"]).nullable(),
  set: z.enum(setKinds),
  oddPosition: z.int().nullable(),
  /** Files of earlier versions, which knew no tetrads, lack it. */
  fellowPosition: z.int().nullish(),
  answers: answersSchema,
});

/** What verification reads of a published session; other fields pass unread. */
const publishedSessionSchema = z.object({
  format: z.literal("evenpour-session"),
  planHash: z.string(),
  commitment: z.string(),
  key: z.object({ keyJson: z.string(), nonceHex: z.string() }),
  evidence: z.object({ plan: planSchema, ballots: z.array(ballotSchema) }),
  events: z.array(sessionEventSchema),
});
type PublishedSession = z.output<typeof publishedSessionSchema>;

/** Reads a published session's text; says in a few words why it can't be one. */
export function readPublished(
  text: string,
): { ok: true; session: PublishedSession } | { ok: false; message: string } {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return { ok: false, message: "it can't be read as JSON" };
  }
  const parsed = publishedSessionSchema.safeParse(json);
  if (parsed.success) return { ok: true, session: parsed.data };
  const [issue] = parsed.error.issues;
  return { ok: false, message: `${issue?.path.join(".")}: ${issue?.message}` };
}

/**
 * Checks a published session by itself: plan, key and log are what was sealed, no event was changed,
 * and every ballot holds the answers that its event holds, and cups and a right answer as the key has
 * them. Anyone with the file can do this; it takes nothing on the program's word.
 */
export function verifyPublished(file: PublishedSession): Check[] {
  const key = readKey(file.key.keyJson);
  return [
    check(
      "The plan has the hash that was published",
      planHash(file.evidence.plan) === file.planHash,
    ),
    check(
      "Key and nonce are those that were committed to",
      key !== null &&
        verifyUnblinding({ key, nonce: file.key.nonceHex, commitment: file.commitment }),
    ),
    chainCheck(file.events),
    sealedCheck(file),
    orderCheck(file.events),
    ballotsCheck(file),
    cupsCheck(file, key),
    setsCheck(file, key),
  ];
}

function check(what: string, ok: boolean, detail: string | null = null): Check {
  return { what, ok, detail: ok ? null : detail };
}

function readKey(json: string): Key | null {
  try {
    const parsed = keySchema.safeParse(JSON.parse(json));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}

/** The chain of a log, as one check. */
export function chainCheck(events: readonly SessionEvent[]): Check {
  const verdict = verifyChain(events);
  const detail = verdict.ok ? null : `event ${verdict.sequence}: ${verdict.refusal}`;
  return check("No event of the log was changed, removed or moved", verdict.ok, detail);
}

function sealedCheck(file: PublishedSession): Check {
  return check("The log sealed this plan and this key", wasSealed(file.events, file));
}

/**
 * Whether the log's sealing, as amended since, is of this plan and this key. Each amendment must
 * follow on the plan before it, and none may come once the session has opened.
 */
export function wasSealed(
  events: readonly SessionEvent[],
  { planHash: hash, commitment }: { planHash: string; commitment: string },
): boolean {
  const seals = events.filter(({ kind }) => kind === "sealed" || kind === "amended");
  const inOrder = seals.every(({ kind, body }, at) =>
    at === 0
      ? kind === "sealed"
      : kind === "amended" && body.previousPlanHash === seals[at - 1]?.body.planHash,
  );
  const opened = events.find(({ kind }) => kind === "opened");
  const last = seals.at(-1);
  const inTime = opened === undefined || last === undefined || last.sequence < opened.sequence;
  return inOrder && inTime && last?.body.planHash === hash && last.body.commitment === commitment;
}

function orderCheck(events: readonly SessionEvent[]): Check {
  const life = ["sealed", "opened", "closed", "unblinded"];
  const places = life.map((kind) => events.findIndex((event) => event.kind === kind));
  const ordered = places.every((place, at) => place >= 0 && place > (places[at - 1] ?? -1));
  const late = events.findLastIndex((event) => event.kind === "ballot-stored");
  const ok = ordered && late < (places[2] ?? 0);
  return check("It was sealed before it opened, and no answer came after it closed", ok);
}

function ballotsCheck({ evidence, events }: PublishedSession): Check {
  const logged = new Map<string, string>();
  for (const event of events) {
    if (event.kind !== "ballot-stored") continue;
    const name = `${event.actor}/${String(event.body.ordinal)}`;
    logged.set(name, canonicalJson(event.body.answers));
  }
  const strange = evidence.ballots.filter(
    ({ seatId, ordinal, answers }) =>
      logged.get(`seat:${seatId}/${ordinal}`) !== canonicalJson(answers),
  );
  const missing = logged.size - evidence.ballots.length;
  const detail = `${strange.length} differ, ${Math.max(0, missing)} are missing`;
  return check("Every ballot is as the log has it", strange.length === 0 && missing === 0, detail);
}

function cupsCheck({ evidence }: PublishedSession, key: Key | null): Check {
  const treatments = new Map(
    key?.pots.map((pot) => [`${pot.coffeeId}/${pot.potLetter}`, pot.treatment]),
  );
  const strange = evidence.ballots.filter((ballot) =>
    ballot.cups.some(
      ({ potLetter, treatment }) => treatments.get(`${ballot.coffeeId}/${potLetter}`) !== treatment,
    ),
  );
  const detail = `${strange.length} ballots differ`;
  return check(
    "Every cup holds the treatment that the key gives its pot",
    strange.length === 0,
    detail,
  );
}

function setsCheck({ evidence, events }: PublishedSession, key: Key | null): Check {
  const seats = new Map(
    events
      .filter(({ kind }) => kind === "taster-joined")
      .map(({ actor, body }) => [actor, Number(body.seat)]),
  );
  const held = evidence.ballots.map((ballot) => ({
    ...ballot,
    seat: seats.get(`seat:${ballot.seatId}`),
    cups: ballot.cups.map((cup) => ({ ...cup, coffeeId: ballot.coffeeId })),
  }));
  const strange = key === null ? held.length : setsUnlikeKey(held, key, events);
  return check(SETS_AS_KEYED, key !== null && strange === 0, `${strange} differ`);
}
