import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { planExperiment } from "../../seed/play.ts";
import { openedAmong, readSessions } from "../../server/report/evidence-sessions.ts";
import { appendEvent, chainHead, chainHeads } from "../../server/store/events.ts";
import { listSessions } from "../../server/store/sessions.ts";
import { voidSeat } from "../../server/store/tasters.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { brightPlan, sit } from "./bright-sitting.ts";

const at = "2026-03-03T10:00:00.000Z";

describe("What unblinded sessions say to evidence", () => {
  let house: House;
  let lead: Visitor;
  let monday: string;
  let tuesday: string;
  let experimentId: string;
  beforeAll(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    experimentId = await planExperiment(lead, brightPlan());
    monday = await sit(house, lead, experimentId, { name: "Monday", picksOfB: 9 });
    tuesday = await sit(house, lead, experimentId, { name: "Tuesday", picksOfB: 6 });
  }, 120_000);
  afterAll(() => house.close());

  const opened = async () => openedAmong(await listSessions(house.deps.store));
  const read = async () => {
    const all = await readSessions(house.deps.store, await opened());
    return new Map(all.map(({ session, says }) => [session.id, says]));
  };
  const answersOf = (says: Awaited<ReturnType<typeof read>>, id: string) =>
    says.get(id)?.answers.get("e1")?.observations.length;

  it("is read once, and again for nobody while its log stays as it is", async () => {
    const first = await read();
    expect([answersOf(first, monday), answersOf(first, tuesday)]).toEqual([10, 10]);
    const again = await read();
    for (const id of [monday, tuesday]) expect(again.get(id)).toBe(first.get(id));
  });

  it("is read anew after an erasure, of that session only, and says the same without the name", async () => {
    const before = await read();
    await lead.get(`/lead/sessions/${monday}/tasters/1/erasure`);
    const erased = await lead.post(`/lead/sessions/${monday}/tasters/1/erasure`, {});
    expect(erased.statusCode).toBe(303);
    const after = await read();
    expect(after.get(monday)).not.toBe(before.get(monday));
    expect(after.get(monday)).toEqual(before.get(monday));
    expect(after.get(tuesday)).toBe(before.get(tuesday));
  });

  it("is read anew once answers are voided, and the page counts them no more", async () => {
    const page = `/lead/experiments/${experimentId}/evidence`;
    const tuesdays = async () =>
      /2\. Tuesday[^<]*<\/td><td[^>]*>(\d+)<\/td><td[^>]*>(\d+)</
        .exec((await lead.get(page)).body)
        ?.slice(1);
    // (6 + ½) of (10 + 1), then of (7 + 1).
    expect(await tuesdays()).toEqual(["10", "59"]);
    const seats = await house.deps.store
      .selectFrom("seats")
      .select("id")
      .where("session_id", "=", tuesday)
      .where("number", "in", [8, 9, 10])
      .execute();
    await house.deps.store.transaction().execute(async (trx) => {
      for (const { id } of seats) await voidSeat(trx, { seatId: id, reason: "withdrawn", at });
      const act = { at, actor: "system", kind: "taster-withdrew", body: {} };
      await appendEvent(trx, tuesday, act);
    });
    expect(answersOf(await read(), tuesday)).toBe(7);
    expect(await tuesdays()).toEqual(["7", "81"]);
  });

  it("is found by the heads of their logs, each as it is found alone", async () => {
    const { store } = house.deps;
    const heads = await chainHeads(store, [monday, tuesday]);
    expect(heads.get(monday)).toBe(await chainHead(store, monday));
    expect(heads.get(tuesday)).toBe(await chainHead(store, tuesday));
    expect(await chainHeads(store, [])).toEqual(new Map());
  });

  it("isn't mixed up between data files", async () => {
    const other = await openHouse();
    expect(await readSessions(other.deps.store, [])).toEqual([]);
    const [session] = await opened();
    if (session === undefined) throw new Error("Monday is unblinded");
    const [elsewhere] = await readSessions(other.deps.store, [session]);
    expect(elsewhere?.says.answers.get("e1")?.observations).toEqual([]);
    await other.close();
  });
});
