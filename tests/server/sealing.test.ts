import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { readJoinCode } from "../../server/join-code.ts";
import { seal } from "../../server/sealing.ts";
import { eventsOf } from "../../server/store/events.ts";
import { moveSession, secretsOf, sessionById } from "../../server/store/sessions.ts";
import { keySchema, planHash, verifyUnblinding } from "../../src/design/seal.ts";
import { verifyChain } from "../../src/experiment/event.ts";
import { presentationsPerTaster } from "../../src/experiment/served-sets.ts";
import { type House, openHouse } from "../app.ts";
import { examplePlan, sealedSession } from "../sealed-session.ts";

describe("Sealing a session", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  it("fixes the plan under its hash and gives every seat, spare ones too, all its sets", async () => {
    const { sessionId, plan } = await sealedSession(house);
    const session = await sessionById(house.deps.store, sessionId);
    expect(session?.state).toBe("sealed");
    expect(session?.sealed?.plan).toEqual(plan);
    expect(session?.sealed?.planHash).toBe(planHash(plan));
    const sets = await house.deps.store
      .selectFrom("presentations")
      .innerJoin("seats", "seats.id", "presentations.seat_id")
      .select((e) => ["seats.number", e.fn.countAll().as("sets")])
      .groupBy("seats.number")
      .orderBy("seats.number")
      .execute();
    expect(sets).toEqual(
      [1, 2, 3, 4, 5].map((number) => ({ number, sets: presentationsPerTaster(plan) })),
    );
  });

  it("stores in cups and cup keys exactly the key that was committed to", async () => {
    const { sessionId } = await sealedSession(house);
    const session = await sessionById(house.deps.store, sessionId);
    const secrets = await secretsOf(house.deps.store, sessionId);
    const key = keySchema.parse(JSON.parse(secrets.keyJson));
    const commitment = session?.sealed?.commitment ?? "";
    expect(verifyUnblinding({ key, nonce: secrets.nonceHex, commitment })).toBe(true);
    const stored = await house.deps.store
      .selectFrom("cups")
      .innerJoin("seats", "seats.id", "cups.seat_id")
      .innerJoin("presentations", "presentations.id", "cups.presentation_id")
      .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
      .innerJoin("pots", "pots.id", "cup_keys.pot_id")
      .innerJoin("pot_keys", "pot_keys.pot_id", "pots.id")
      .select(["seats.number as seat", "presentations.ordinal", "cups.position", "cups.code"])
      .select(["pots.letter", "pots.coffee_id as coffeeId", "pot_keys.treatment"])
      .orderBy("seats.number")
      .orderBy("presentations.ordinal")
      .orderBy("cups.position")
      .execute();
    const committed = key.presentations.flatMap(({ seat, ordinal, coffeeId, cups }) =>
      cups.map(({ code, potLetter }, at) => ({
        seat,
        ordinal,
        position: at + 1,
        code,
        letter: potLetter,
        coffeeId,
        treatment: key.pots.find((pot) => pot.coffeeId === coffeeId && pot.potLetter === potLetter)
          ?.treatment,
      })),
    );
    expect(stored).toEqual(committed);
    expect(stored).toHaveLength(5 * (3 * 3 + 3 * 2 + 3));
  });

  it("is an event of an unbroken log that gives away neither seed nor nonce", async () => {
    const { sessionId, leadId } = await sealedSession(house);
    const events = await eventsOf(house.deps.store, sessionId);
    expect(events.map(({ kind, actor }) => [kind, actor])).toEqual([["sealed", `lead:${leadId}`]]);
    expect(verifyChain(events).ok).toBe(true);
    const { seedHex, nonceHex } = await secretsOf(house.deps.store, sessionId);
    expect(JSON.stringify(events)).not.toContain(seedHex);
    expect(JSON.stringify(events)).not.toContain(nonceHex);
  });

  it("is refused the second time and changes nothing", async () => {
    const { sessionId, plan } = await sealedSession(house);
    const before = await sessionById(house.deps.store, sessionId);
    const again = await seal(house.deps, { sessionId, plan, actor: "lead:other" });
    expect(again).toEqual({ ok: false, refusal: "already-sealed" });
    expect(await sessionById(house.deps.store, sessionId)).toEqual(before);
  });

  it("says with numbers what no kit can serve, and leaves the session a draft", async () => {
    const crowded = { tasters: 300, spareSeats: 100, replicates: 8 };
    await expect(sealedSession(house, crowded)).rejects.toThrow("cannot-serve");
    const sessions = await house.deps.store.selectFrom("sessions").select("state").execute();
    expect(sessions).toEqual([{ state: "draft" }]);
  });

  it("never lets a session go back or skip a state", async () => {
    const { sessionId } = await sealedSession(house);
    const skip = house.deps.store
      .transaction()
      .execute((trx) => moveSession(trx, sessionId, "closed", "2026-03-02T10:00:00.000Z"));
    await expect(skip).rejects.toThrow("only moves forward");
  });

  it("gives two sessions of one plan different kits and join codes", async () => {
    const [one, two] = [await sealedSession(house), await sealedSession(house)];
    expect(one.joinCode).not.toBe(two.joinCode);
    expect(one.joinCode).toMatch(/^[CDFGHJKMNPQRTVWXY34679]{6}$/);
    const keys = await Promise.all(
      [one, two].map(({ sessionId }) => secretsOf(house.deps.store, sessionId)),
    );
    expect(keys[0]?.keyJson).not.toBe(keys[1]?.keyJson);
  });

  it("gives the same-pot controls to the main question's set", async () => {
    const endpoints = examplePlan.endpoints.map((endpoint) => ({
      ...endpoint,
      role: endpoint.id === "e2" ? ("primary" as const) : ("exploratory" as const),
    }));
    await sealedSession(house, { endpoints });
    const controls = await house.deps.store
      .selectFrom("presentation_keys")
      .innerJoin("presentations", "presentations.id", "presentation_keys.presentation_id")
      .select("presentations.set_kind")
      .where("control", "=", "same-pot")
      .execute();
    expect(controls).toEqual(Array.from({ length: 5 }, () => ({ set_kind: "ab" })));
  });

  it("reads a join code however it is typed", () => {
    expect(readJoinCode(" cdf-346 ")).toBe("CDF346");
    expect(readJoinCode("CDF 346")).toBe("CDF346");
  });
});
