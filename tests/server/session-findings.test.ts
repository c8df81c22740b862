import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { findingsOf } from "../../server/session-findings.ts";
import { appendEvent } from "../../server/store/events.ts";
import { type House, openHouse } from "../app.ts";
import {
  closeSession,
  openSession,
  type SealedFixture,
  unblindSession,
} from "../sealed-session.ts";
import { ballotOn, joined, traysOf } from "./taster-sitting.ts";

describe("A locked session's findings", () => {
  let house: House;
  let session: SealedFixture;
  beforeEach(async () => {
    house = await openHouse();
    session = await openSession(house);
    const taster = await joined(house, session);
    for (const tray of await traysOf(house, session)) {
      await taster.post(`/taste/${tray.ordinal}`, ballotOn(tray));
    }
    await closeSession(house, session);
    await unblindSession(house, session);
  });
  afterEach(() => house.close());

  const find = (fixture = session) =>
    findingsOf(house.deps.store, { id: fixture.sessionId, plan: fixture.plan });

  it("are computed once for many readers, also when they come at one time", async () => {
    const [first, second] = await Promise.all([find(), find()]);
    expect(second).toBe(first);
    expect(await find()).toBe(first);
    expect(first.findings.conduct.ballotsReceived).toBeGreaterThan(0);
  });

  it("are computed anew once anything is added to the session's log", async () => {
    const before = await find();
    const act = { at: "2026-03-03T10:00:00.000Z", actor: "system", kind: "noted", body: {} };
    await house.deps.store.transaction().execute((trx) => appendEvent(trx, session.sessionId, act));
    const after = await find();
    expect(after).not.toBe(before);
    expect(after.findings).toEqual(before.findings);
  });

  it("are kept for eight sessions, the one read longest ago going first", async () => {
    const first = await find();
    const others: SealedFixture[] = [];
    for (let count = 0; count < 8; count += 1) others.push(await openSession(house));
    for (const other of others.slice(0, 7)) await find(other);
    expect(await find()).toBe(first);
    for (const other of others) await find(other);
    expect(await find()).not.toBe(first);
  });

  it("are not mixed up between data files", async () => {
    const other = await openHouse();
    await expect(
      findingsOf(other.deps.store, { id: session.sessionId, plan: session.plan }),
    ).resolves.toMatchObject({ findings: { conduct: { ballotsReceived: 0 } } });
    await other.close();
  });
});
