import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { strFromU8, unzipSync } from "fflate";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { readPackage } from "../../server/report/read-package.ts";
import { kitInUse } from "../../server/store/amendments.ts";
import { eventsOf } from "../../server/store/events.ts";
import { pouringsOf } from "../../src/experiment/pouring.ts";
import { analyse } from "../../src/report/analysis.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import {
  closeSession,
  examplePlan,
  openSession,
  type SealedFixture,
  sealedSession,
  unblindSession,
} from "../sealed-session.ts";
import { logged, textOfPage } from "./incidents-room.ts";
import { ballotOn, joined, postByScript, traysOf } from "./taster-sitting.ts";

const MINUTE = 60_000;
const serving = { servingFromMinutes: 5, windowMinutes: 20 };

describe("Pouring", () => {
  let house: House;
  let lead: Visitor;
  let fixture: SealedFixture;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    fixture = await openSession(house, { serving });
  });
  afterEach(() => house.close());

  const session = () => `/lead/sessions/${fixture.sessionId}`;
  const room = async () => (await lead.get(`${session()}/room`)).body;
  const words = async () => textOfPage(await room());
  const poured = async (round: number, known = 0) => {
    await room();
    return await lead.post(`${session()}/pourings`, { round: `${round}`, known: `${known}` });
  };
  const correction = async (form: Record<string, string>) => {
    const href = /href="([^"]+\/pourings\/\d+)"/.exec(await room())?.[1] ?? "";
    await lead.get(href);
    return await lead.post(href, form);
  };
  const pourings = async () => pouringsOf(await eventsOf(house.deps.store, fixture.sessionId));
  const made = async (shows: string) => {
    await lead.get(`${session()}/links`);
    const form = { shows, note: "pourer", days: "3" };
    const { body } = await lead.post(`${session()}/links`, form);
    return new URL(/<code class="link">([^<]+)</.exec(body)?.[1] ?? "").pathname;
  };
  const sheet = async () => {
    const path = await made("pour-sheet");
    const pourer = house.visitor();
    await pourer.get(path);
    await pourer.post(path, {});
    return { path, pourer };
  };

  it("lists the rounds under the names of the pour sheet, in both orders of coffees", async () => {
    const controls = { samePot: 1, sameTreatmentPairsPerCoffee: 1 };
    for (const coffeeOrder of ["rounds", "balanced"] as const) {
      fixture = await sealedSession(house, { coffeeOrder, controls, brewPairsPerCoffee: 2 });
      const { path, pourer } = await sheet();
      const onSheet = (await pourer.get(path)).body;
      const names = [...onSheet.matchAll(/<h2 id="round-\d+">([^<]+)<\/h2>/g)].map(([, at]) => at);
      const letters = onSheet.split("<section").slice(1);
      const rows = [
        ...(await room()).matchAll(/<strong>(R[^<]+)<\/strong>.*?pots (\w) and (\w)</g),
      ];
      expect(rows.map(([, name]) => name)).toEqual(names);
      expect(names).toHaveLength(9);
      for (const [at, [, , one, other]] of rows.entries()) {
        const found = [...(letters[at] ?? "").matchAll(/pot <strong>(\w)</g)].map(([, own]) => own);
        expect(found).toEqual([one, other]);
      }
    }
  });

  it("shows no treatment and no cup, before and after", async () => {
    await poured(1);
    const body = await room();
    const { A, B } = examplePlan.treatments;
    for (const { name } of [A, B]) expect(body).not.toContain(name);
    const cups = await house.deps.store.selectFrom("cups").select("code").execute();
    for (const { code } of cups) expect(body).not.toContain(`>${code}<`);
  });

  it("is one press, an event in the chain, and then a state that follows the clock", async () => {
    expect(await words()).toContain("too hot before 5 min, too cold after 20 min");
    expect((await words()).match(/not poured yet/g)).toHaveLength(3);
    let changes = 0;
    house.deps.live.follow(fixture.sessionId, () => {
      changes += 1;
    });
    const answer = await poured(2);
    expect(answer.headers.location).toBe(`${session()}/room?recorded=yes#pouring`);
    expect(changes).toBe(1);
    const [event] = await logged(house, fixture, "round-poured");
    expect(event?.body).toMatchObject({ round: 2, pair: 1, pouredAt: "2026-03-02T09:00:00.000Z" });
    expect(event?.actor).toMatch(/^lead:/);
    expect(await words()).toContain("too hot until 09:05");
    expect(await room()).toContain(`data-turns-in="${5 * MINUTE}"`);
    house.wait(5 * MINUTE);
    expect(await words()).toContain("to be tasted until 09:20");
    house.wait(15 * MINUTE + 1);
    expect(await words()).toContain("too cold since 09:20");
    expect(await room()).not.toContain("data-turns-in");
  });

  it("has no state any more once the session has closed, only when each round was poured", async () => {
    expect(await words()).toContain("Cups are served between 5 and 20 min after pouring.");
    await poured(2);
    house.wait(7 * MINUTE);
    await closeSession(house, fixture);
    const closed = await words();
    expect(closed).toContain("poured at 09:00");
    expect(closed.match(/pouring not recorded/g)).toHaveLength(2);
    for (const state of ["to be tasted until", "not poured yet"]) {
      expect(closed).not.toContain(state);
    }
    expect(await room()).not.toContain("data-turns-in");
  });

  it("is said once in a plan without a serving window", async () => {
    fixture = await openSession(house);
    await poured(1);
    expect(await words()).toContain("poured at 09:00");
    expect(await words()).not.toContain("poured poured");
  });

  it("gives its window in minutes on the pour sheet, one or several", async () => {
    fixture = await openSession(house, { serving: { servingFromMinutes: 1, windowMinutes: 2 } });
    const { path, pourer } = await sheet();
    const onSheet = (await pourer.get(path)).body;
    expect(onSheet).toContain("within 2 min of pouring");
    expect(onSheet).toContain("too hot to taste in the first 1 min.");
  });

  it("records a press that comes twice once, and a round poured anew again", async () => {
    await poured(1);
    const twice = await poured(1);
    expect(twice.headers.location).toBe(`${session()}/room#pouring`);
    expect(await pourings()).toHaveLength(1);
    house.wait(30 * MINUTE);
    expect(await room()).toContain("Poured anew now");
    await poured(1, 1);
    expect((await pourings()).map(({ pouredAt }) => pouredAt.slice(11, 16))).toEqual([
      "09:00",
      "09:30",
    ]);
    expect(await words()).toContain("too hot until 09:35");
  });

  it("is corrected by an event that names the time, whatever clock it was read from", async () => {
    house.wait(30 * MINUTE);
    await poured(1);
    expect((await correction({ time: "09:21", offset: "0" })).statusCode).toBe(303);
    expect(await words()).toContain("to be tasted until 09:41");
    await correction({ time: "11:19", offset: "-120" });
    expect((await pourings()).map(({ pouredAt }) => pouredAt.slice(11, 16))).toEqual(["09:19"]);
    expect(await logged(house, fixture, "pouring-corrected")).toHaveLength(2);
    expect(await words()).toContain("R1: time of pouring corrected");
    await correction({ step: "remove" });
    expect(await pourings()).toEqual([]);
    expect((await words()).match(/not poured yet/g)).toHaveLength(3);
  });

  it.each([
    ["soon", "Give hours and minutes, such as 14:05"],
    ["09:31", "That is still to come"],
  ])(
    "is not corrected to %s: it says at the field what to give, and keeps it",
    async (time, says) => {
      house.wait(30 * MINUTE);
      await poured(1);
      const answer = await correction({ time, offset: "0" });
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain(says);
      expect(answer.body).toContain(`value="${time}"`);
      expect(await logged(house, fixture, "pouring-corrected")).toEqual([]);
    },
  );

  it("is recorded from sealing to closing, and corrected until the key is open", async () => {
    expect((await poured(9)).statusCode).toBe(404);
    await poured(1);
    await closeSession(house, fixture);
    expect(await room()).not.toContain("Poured now");
    expect((await poured(2)).statusCode).toBe(409);
    expect((await correction({ time: "08:58", offset: "0" })).statusCode).toBe(303);
    const href = /href="([^"]+\/pourings\/\d+)"/.exec(await room())?.[1] ?? "";
    await unblindSession(house, fixture);
    expect(await room()).not.toContain("/pourings/");
    for (const answer of [await lead.get(href), await lead.post(href, { step: "remove" })]) {
      expect(answer.statusCode).toBe(409);
    }
    expect(await pourings()).toHaveLength(1);
  });

  it("is the lead's to record, with a form of our own", async () => {
    const path = `${session()}/pourings`;
    const stranger = await house.visitor().post(path, { round: "1", known: "0" });
    expect(stranger.statusCode).not.toBe(200);
    const unsigned = await house.app.inject({ method: "POST", url: path });
    expect([303, 403]).toContain(unsigned.statusCode);
    expect((await lead.get(`${path}/1`)).statusCode).toBe(404);
    expect(await pourings()).toEqual([]);
  });

  it("is recorded by the pourer too, on the pour sheet and on the device that opened it", async () => {
    const { path, pourer } = await sheet();
    const press = { round: "1", known: "0" };
    const elsewhere = house.visitor();
    await elsewhere.get(await made("key-sheet"));
    expect((await elsewhere.post(`${path}/poured`, press)).statusCode).toBe(410);
    await pourer.get(path);
    const answer = await pourer.post(`${path}/poured`, press);
    expect(answer.headers.location).toBe(`${path}#round-1`);
    const [event] = await logged(house, fixture, "round-poured");
    expect(event?.actor).toMatch(/^link:/);
    expect(textOfPage((await pourer.get(path)).body)).toContain("Recorded as poured at 09:00");
    expect(await words()).toContain("too hot until 09:05");
    await closeSession(house, fixture);
    expect((await pourer.get(path)).body).not.toContain("Poured now");
    expect((await pourer.post(`${path}/poured`, { round: "2", known: "0" })).statusCode).toBe(409);
  });

  it("has no button on another sheet", async () => {
    const path = await made("brew-sheet");
    const brewer = house.visitor();
    await brewer.get(path);
    await brewer.post(path, {});
    await brewer.get(path);
    const answer = await brewer.post(`${path}/poured`, { round: "1", known: "0" });
    expect(answer.statusCode).toBe(404);
    expect(await pourings()).toEqual([]);
  });

  it("keeps a kit from being drawn anew: its cups are filled", async () => {
    fixture = await sealedSession(house, { serving });
    await poured(1);
    const events = await eventsOf(house.deps.store, fixture.sessionId);
    expect(kitInUse(events)).toBe(true);
  });

  it("tells tasters nothing: their pages are the same, letter for letter", async () => {
    const taster = await joined(house, fixture);
    const page = async () =>
      (await taster.get("/taste")).body
        .replace(/name="_csrf" value="[^"]+"/g, "")
        .replace(/name="key" value="[^"]+"/g, "");
    const before = await page();
    for (const round of [1, 2, 3]) await poured(round);
    house.wait(25 * MINUTE);
    expect(await page()).toBe(before);
  });

  describe("in the report", () => {
    const finished = async () => {
      const taster = await joined(house, fixture);
      const trays = await traysOf(house, fixture);
      for (const round of [1, 2, 3]) await poured(round);
      house.wait(3 * MINUTE);
      const [first, second, ...later] = trays;
      if (first === undefined || second === undefined) throw new Error("The kit has no trays");
      await postByScript(house, taster, first.ordinal, ballotOn(first));
      house.wait(40 * MINUTE);
      // Locked 35 minutes ago without a network, eight minutes after pouring.
      const waited = { ...ballotOn(second), ago: `${35 * 60}`, rested: "20" };
      await postByScript(house, taster, second.ordinal, waited);
      for (const tray of later) {
        await postByScript(house, taster, tray.ordinal, { ...ballotOn(tray), rested: "50" });
      }
      await closeSession(house, fixture);
      await unblindSession(house, fixture);
      return (await lead.get(`${session()}/report`)).body;
    };

    it("is held against the plan by coffee, and comes the same from the data package", async () => {
      fixture = await openSession(house, { serving: { ...serving, palateRestSeconds: 45 } });
      const body = await finished();
      const report = textOfPage(body);
      expect(report).toContain(
        "Against the plan, 1 too early and 5 too late of 7 ballots with a known time of pouring",
      );
      expect(report).toContain("Ballots outside the serving window");
      expect(report).toContain("1 of 6 ballots with a known rest came after less");
      const sent = await lead.get(`${session()}/report/package.zip`);
      const files = unzipSync(sent.rawPayload);
      const text = (name: string) => strFromU8(files[name] ?? new Uint8Array());
      expect(text("pourings.csv").trim().split("\r\n")).toHaveLength(4);
      const [heading = "", ...rows] = text("ballots.csv").trim().split("\r\n");
      const column = heading.split(",").indexOf("minutes_since_pour");
      const minutes = rows.map((row) => Number(row.split(",")[column]));
      expect(minutes).toEqual([3, 8, 43, 43, 43, 43, 43]);
      const folder = mkdtempSync(join(tmpdir(), "pourings-"));
      const archive = join(folder, "package.zip");
      writeFileSync(archive, sent.rawPayload);
      const read = readPackage(archive);
      rmSync(folder, { recursive: true });
      if (!read.ok) throw new Error(read.problems.join());
      const again = analyse(read.evidence);
      expect(again).toEqual(read.findings);
      expect(again.serving).toMatchObject({ ballots: 7, notKnown: 0, tooEarly: 1, tooLate: 5 });
      expect(again.panel.rest).toMatchObject({ ballots: 6, shorter: 1, medianSeconds: 50 });
    });
  });
});
