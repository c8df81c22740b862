import { readFileSync } from "node:fs";
import { sql } from "kysely";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { readConfig } from "../../server/config.ts";
import { draftOf, readPlan } from "../../server/lead/plan-form.ts";
import { eraseExpired, keepErasing } from "../../server/retention.ts";
import { eventsOf } from "../../server/store/events.ts";
import { verifyStore } from "../../server/store/verification.ts";
import { planHash } from "../../src/design/seal.ts";
import { verifyChain } from "../../src/experiment/event.ts";
import { planSchema } from "../../src/experiment/plan.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import {
  closeSession,
  examplePlan,
  openSession,
  type SealedFixture,
  sealedSession,
  unblindSession,
} from "../sealed-session.ts";
import { ballotOn, joined, traysOf } from "./taster-sitting.ts";

const NAME = "Ottokar Beispiel";
const COMMENT = "tastes of wet slate";
const DAY = 86_400_000;

describe("Personal data", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  let taster: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    session = await openSession(house);
    lead = await house.signedInLead();
    taster = await joined(house, session, { name: NAME });
    const [tray] = await traysOf(house, session);
    if (tray === undefined) throw new Error("The kit is empty");
    await taster.post(`/taste/${tray.ordinal}`, { ...ballotOn(tray), comment: COMMENT });
  });
  afterEach(() => house.close());

  const base = () => `/lead/sessions/${session.sessionId}/tasters`;
  const erase = async (seat = 1) => {
    await lead.get(`${base()}/${seat}/erasure`);
    return await lead.post(`${base()}/${seat}/erasure`, {});
  };
  const names = async () =>
    (await house.deps.store.selectFrom("tasters").select("alias").execute()).map(
      ({ alias }) => alias,
    );
  const comments = async () =>
    (await house.deps.store.selectFrom("comments").select("text").execute()).map(
      ({ text }) => text,
    );
  const chainHolds = async () =>
    verifyChain(await eventsOf(house.deps.store, session.sessionId)).ok;

  describe("that a taster asks for", () => {
    it("are on one page, linked from every page of theirs, and as a file", async () => {
      expect((await taster.get("/taste")).body).toContain('href="/taste/data"');
      const page = await taster.get("/taste/data");
      expect(page.body).toContain(NAME);
      expect(page.body).toContain("Set 1, received 2026-03-02 09:00 UTC");
      const file = await taster.get("/taste/data.json");
      expect(file.headers["content-disposition"]).toContain("attachment");
      expect(JSON.parse(file.body)).toMatchObject({
        seat: 1,
        person: { name: NAME, language: "en", agreedAt: "2026-03-02T09:00:00.000Z" },
        sets: [{ set: 1, receivedAt: "2026-03-02T09:00:00.000Z", voided: false }],
      });
    });

    it("hold their answers and comments once the tasting has closed, not before", async () => {
      expect((await taster.get("/taste/data")).body).not.toContain(COMMENT);
      expect((await taster.get("/taste/data.json")).body).not.toContain("answers");
      await closeSession(house, session);
      expect((await taster.get("/taste/data")).body).toContain(COMMENT);
      const { sets } = JSON.parse((await taster.get("/taste/data.json")).body);
      expect(sets[0]).toMatchObject({ comment: COMMENT });
      expect(Object.keys(sets[0].answers).length).toBeGreaterThan(0);
    });

    it("name no treatment, coffee, pot or other seat", async () => {
      await closeSession(house, session);
      const other = await joined(house, await openSession(house), { name: "Somebody Else" });
      expect((await other.get("/taste/data")).body).not.toContain(NAME);
      for (const path of ["/taste/data", "/taste/data.json"]) {
        const { body } = await taster.get(path);
        const { A, B } = session.plan.treatments;
        const secrets = [A.name, B.name, ...session.plan.coffees.map(({ name }) => name)];
        for (const secret of secrets) expect(body).not.toContain(secret);
      }
    });

    it("are for nobody without a seat", async () => {
      for (const path of ["/taste/data", "/taste/data.json"]) {
        expect((await house.visitor().get(path)).headers.location).toBe("/join");
      }
    });
  });

  describe("that a lead holds", () => {
    it("are a list of who sits where, without any answer", async () => {
      const { body } = await lead.get(base());
      expect(body).toContain(`<strong>Seat 1</strong> ${NAME} <span class="state">seated</span>`);
      expect(body).not.toContain(COMMENT);
      expect((await house.visitor().get(base())).headers.location).toMatch(/^\/sign-in/);
    });

    it("can be handed out by seat, with answers only once the key is open", async () => {
      const file = () => lead.get(`${base()}/1/data.json`);
      expect(JSON.parse((await file()).body).person.name).toBe(NAME);
      await closeSession(house, session);
      expect((await file()).body).not.toContain("answers");
      await unblindSession(house, session);
      expect(JSON.parse((await file()).body).sets[0]).toMatchObject({ comment: COMMENT });
      expect((await lead.get(`${base()}/2/data.json`)).statusCode).toBe(404);
    });

    it("are erased with the answers voided before closing, and the chain stays whole", async () => {
      const cover = await lead.get(`${base()}/1/erasure`);
      expect(cover.body).toContain("none of this seat’s answers count");
      expect((await erase()).statusCode).toBe(303);
      expect(await names()).toEqual([]);
      expect(await comments()).toEqual([]);
      const voids = await house.deps.store
        .selectFrom("presentations")
        .innerJoin("seats", "seats.id", "presentations.seat_id")
        .select("void_reason")
        .where("seats.number", "=", 1)
        .execute();
      expect(new Set(voids.map(({ void_reason }) => void_reason))).toEqual(new Set(["withdrawn"]));
      expect(await chainHolds()).toBe(true);
      const events = await eventsOf(house.deps.store, session.sessionId);
      expect(events.at(-1)).toMatchObject({ kind: "taster-withdrew" });
      expect(events.at(-1)?.actor).toMatch(/^lead:/);
      expect((await taster.get("/taste")).headers.location).toBe("/join");
    });

    it("are erased after closing while the answers stay, without a name", async () => {
      await closeSession(house, session);
      expect((await lead.get(`${base()}/1/erasure`)).body).toContain("the answers stay");
      await erase();
      expect(await names()).toEqual([]);
      const ballots = await house.deps.store.selectFrom("ballots").select("id").execute();
      expect(ballots).toHaveLength(1);
      const events = await eventsOf(house.deps.store, session.sessionId);
      expect(events.at(-1)).toMatchObject({ kind: "taster-unlinked" });
      expect(await chainHolds()).toBe(true);
      const [store] = await verifyStore(house.deps.store);
      expect(store?.checks.filter(({ ok }) => !ok)).toEqual([]);
    });

    it("are erased once: a second try says so and changes nothing", async () => {
      await erase();
      const before = (await eventsOf(house.deps.store, session.sessionId)).length;
      const again = await lead.post(`${base()}/1/erasure`, {});
      expect(again.statusCode).toBe(409);
      expect(again.body).toContain("erased already");
      expect((await eventsOf(house.deps.store, session.sessionId)).length).toBe(before);
    });

    it("are gone from the file's bytes too, and never were in the log", async () => {
      const bytes = async () => {
        await sql`PRAGMA wal_checkpoint(TRUNCATE)`.execute(house.deps.store);
        return readFileSync(house.dataFile).toString("latin1");
      };
      expect(await bytes()).toContain(NAME);
      const log = JSON.stringify(await eventsOf(house.deps.store, session.sessionId));
      expect(log).not.toContain(NAME);
      expect(log).not.toContain(COMMENT);
      await erase();
      const left = await bytes();
      expect(left).not.toContain(NAME);
      expect(left).not.toContain(COMMENT);
    });
  });

  describe("with a retention of 30 days", () => {
    beforeEach(() => {
      house.deps.retentionDays = 30;
    });

    it("are erased when the key has been open that long, with an event, and not before", async () => {
      await closeSession(house, session);
      house.wait(60 * DAY);
      expect(await eraseExpired(house.deps)).toBe(0);
      await unblindSession(house, session);
      house.wait(29 * DAY);
      expect(await eraseExpired(house.deps)).toBe(0);
      expect(await names()).toEqual([NAME]);
      house.wait(DAY);
      expect(await eraseExpired(house.deps)).toBe(1);
      expect(await names()).toEqual([]);
      expect(await comments()).toEqual([]);
      const events = await eventsOf(house.deps.store, session.sessionId);
      expect(events.at(-1)).toMatchObject({
        actor: "system",
        kind: "names-erased",
        body: { seats: 1, retentionDays: 30 },
      });
      expect(await chainHolds()).toBe(true);
      expect(await eraseExpired(house.deps)).toBe(0);
    });

    it("are erased at the start of the server", async () => {
      await closeSession(house, session);
      await unblindSession(house, session);
      house.wait(31 * DAY);
      const stop = await keepErasing(house.deps, () => {});
      stop();
      expect(await names()).toEqual([]);
    });

    it("tell the taster so before they agree, and the lead beside the names", async () => {
      const page = await house.visitor().get(`/join/${session.joinCode}?language=en`);
      expect(page.body).toContain("erased 30 days after the result is opened");
      expect((await lead.get(base())).body).toContain("30 days after the key is opened");
    });
  });

  it("stay for ever with a retention of 0, which the consent text says", async () => {
    await closeSession(house, session);
    await unblindSession(house, session);
    house.wait(4000 * DAY);
    expect(await eraseExpired(house.deps)).toBe(0);
    const other = await openSession(house);
    const page = await house.visitor().get(`/join/${other.joinCode}?language=en`);
    expect(page.body).toContain("stay until you or they erase them");
  });

  it.each([["-1"], ["soon"], ["36501"]])("refuses a retention of %s days", (days) => {
    const outcome = readConfig(["--retention-days", days], {});
    expect(outcome).toMatchObject({ ok: false });
  });
});

describe("The consent text", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  const consentNotes = {
    en: "Guests under 18 need a parent here.",
    de: "Gäste unter 18 brauchen einen Elternteil.",
  };
  const joinPage = async (session: SealedFixture, language: string) =>
    (await house.visitor().get(`/join/${session.joinCode}?language=${language}`)).body;

  it("holds what the lead adds, by language, beside every caution", async () => {
    const plain = await sealedSession(house);
    const noted = await sealedSession(house, { consentNotes });
    for (const language of ["en", "de"] as const) {
      const [without, added] = [await joinPage(plain, language), await joinPage(noted, language)];
      expect(without).not.toContain(consentNotes[language]);
      expect(added).toContain(consentNotes[language]);
      const cautions = without.match(/<li>.*?<\/li>/g) ?? [];
      expect(cautions.length).toBeGreaterThan(3);
      for (const caution of cautions) expect(added).toContain(caution);
    }
  });

  it("changes its hash with the note, so that the log shows what was agreed to", async () => {
    const hashes = [];
    for (const plan of [{}, { consentNotes }]) {
      const session = await sealedSession(house, plan);
      await joined(house, session);
      const events = await eventsOf(house.deps.store, session.sessionId);
      hashes.push(events.find(({ kind }) => kind === "taster-joined")?.body.consentHash);
    }
    expect(hashes[0]).not.toBe(hashes[1]);
  });

  it("is typed in the plan form and comes back as typed", async () => {
    const plan = planSchema.parse({ ...examplePlan, consentNotes });
    expect(readPlan(draftOf(plan))).toEqual({ ok: true, plan });
    const lead = await house.signedInLead();
    const form = (await lead.get("/lead/experiments/new")).body;
    for (const tag of ["en", "de"]) expect(form).toContain(`name="consentNotes.${tag}"`);
  });

  it("leaves the hash of a plan without a note as it was", () => {
    expect(planHash(planSchema.parse(examplePlan))).toBe(planHash(examplePlan));
    const read = readPlan({ ...draftOf(examplePlan), "consentNotes.en": "  " });
    expect(read.ok && planHash(read.plan)).toBe(planHash(examplePlan));
  });

  it("says at its field when a note is too long", () => {
    const read = readPlan({ ...draftOf(examplePlan), "consentNotes.de": "x".repeat(1001) });
    expect(read).toMatchObject({
      ok: false,
      errors: { "consentNotes.de": "Keep it under 1000 characters" },
    });
  });
});
