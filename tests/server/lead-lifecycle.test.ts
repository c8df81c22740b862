import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { draftOf } from "../../server/lead/plan-form.ts";
import { qrDrawing } from "../../server/qr.ts";
import { addBrew, brewLog } from "../../server/store/brews.ts";
import { eventsOf } from "../../server/store/events.ts";
import { verifyUnblinding } from "../../src/design/seal.ts";
import { brewRecordSchema } from "../../src/experiment/brew-log.ts";
import { verifyChain } from "../../src/experiment/event.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { closeSession, examplePlan, openSession, sealedSession } from "../sealed-session.ts";
import { ballotOn, joined, traysOf } from "./taster-sitting.ts";

const goodBrew = {
  doseGrams: 60,
  brewWaterGrams: 1000,
  beverageGrams: 874,
  brewSeconds: 210,
  tdsReadingsPercent: [1.38],
  sampleTiming: "before-addition",
  addedGrams: 0,
  note: "",
};

describe("A session's life", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const planned = async () => {
    await lead.get("/lead/experiments/new");
    const answer = await lead.post("/lead/experiments", draftOf(examplePlan));
    return String(answer.headers.location).replace("?saved=yes", "");
  };
  const setUp = async (experiment: string, form = { sessionName: "Tuesday", heldOn: "" }) =>
    await lead.post(`${experiment}/sessions`, form);
  const sealNow = async (path: string) => {
    const page = await lead.get(path);
    const planHash = /name="planHash" value="([^"]+)"/.exec(page.body)?.[1] ?? "";
    return await lead.post(path, { planHash });
  };
  const step = (sessionId: string, noun: string) =>
    lead.post(`/lead/sessions/${sessionId}/${noun}`, {});
  const stateOf = async (sessionId: string) =>
    await house.deps.store
      .selectFrom("sessions")
      .select("state")
      .where("id", "=", sessionId)
      .executeTakeFirstOrThrow();

  it("goes from set up over sealed, open and closed to unblinded, each step an event", async () => {
    const path = String((await setUp(await planned())).headers.location);
    const id = path.split("/")[3] ?? "";
    const page = await lead.get(path);
    expect(page.body).toContain("Do minerals added after brewing");
    expect(page.body).toContain("caffeine");
    expect((await sealNow(path)).headers.location).toBe(`/lead/sessions/${id}`);
    const sealed = await lead.get(`/lead/sessions/${id}`);
    expect(sealed.body).toContain("sealed, not open yet");
    // Brewing and pouring come before opening.
    expect(sealed.body).toContain(`href="/lead/sessions/${id}/room"`);
    expect(sealed.body).toContain("http://192.0.2.10:8080/join/");
    for (const noun of ["opening", "closure", "unblinding"]) {
      expect((await step(id, noun)).statusCode).toBe(303);
    }
    expect(await stateOf(id)).toEqual({ state: "unblinded" });
    const events = await eventsOf(house.deps.store, id);
    const kinds = ["set-up", "sealed", "opened", "closed", "unblinded"];
    expect(events.map(({ kind }) => kind)).toEqual(kinds);
    expect(verifyChain(events).ok).toBe(true);
  });

  it("shows the join address to scan and the code to type while tasters can join, and only then", async () => {
    const fixture = await sealedSession(house);
    const page = async () => (await lead.get(`/lead/sessions/${fixture.sessionId}`)).body;
    const { path } = qrDrawing(`http://192.0.2.10:8080/join/${fixture.joinCode}`);
    for (const act of ["opening", "closure"]) {
      expect(await page()).toContain(`<path d="${path}"`);
      expect(await page()).toContain(`<p class="join-code">${fixture.joinCode}</p>`);
      expect((await step(fixture.sessionId, act)).statusCode).toBe(303);
    }
    expect(await page()).not.toContain('class="qr"');
    expect(await page()).not.toContain(fixture.joinCode);
  });

  it("refuses to seal twice, in words, and keeps kit and join code", async () => {
    const path = String((await setUp(await planned())).headers.location);
    await sealNow(path);
    const codes = () => house.deps.store.selectFrom("cups").select("code").orderBy("id").execute();
    const before = await codes();
    const again = await lead.post(path, {});
    expect(again.statusCode).toBe(409);
    expect(again.body).toContain("This session is sealed already");
    expect((await lead.get(path)).statusCode).toBe(409);
    expect(await codes()).toEqual(before);
  });

  it("seals only the plan that was read", async () => {
    const path = String((await setUp(await planned())).headers.location);
    await lead.get(path);
    const answer = await lead.post(path, { planHash: "0".repeat(64) });
    expect(answer.statusCode).toBe(409);
    expect(answer.body).toContain("The plan was changed while you read it");
  });

  it("does not seal a plan with gaps", async () => {
    await lead.get("/lead/experiments/new");
    await lead.post("/lead/experiments", { title: "Half" });
    const { id } = await house.deps.store
      .selectFrom("experiments")
      .select("id")
      .executeTakeFirstOrThrow();
    const path = String((await setUp(`/lead/experiments/${id}`)).headers.location);
    const page = await lead.get(path);
    expect(page.statusCode).toBe(409);
    expect(page.body).toContain("once the points below are mended");
    expect(page.body).toContain('id="coffees-error"');
  });

  it("asks for a session's name and a real date at their fields", async () => {
    const answer = await setUp(await planned(), { sessionName: " ", heldOn: "Tuesday" });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain('id="sessionName-error"');
    expect(answer.body).toContain('id="heldOn-error"');
  });

  it("takes no session's name that names a treatment, for tasters read it on paper", async () => {
    const experiment = await planned();
    const hint = "Tasters see it on paper: let it say nothing about the treatments.";
    expect((await lead.get(experiment)).body).toContain(hint);
    const { A, B } = examplePlan.treatments;
    const refused = [A.name, `Tuesday – ${B.name.toUpperCase()}!`, B.name.replaceAll(" ", "  ")];
    for (const sessionName of refused) {
      const answer = await setUp(experiment, { sessionName, heldOn: "" });
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toMatch(/id="sessionName-error">.*Tasters see this name on paper/s);
      expect(answer.body).toContain(hint);
    }
    const path = String((await setUp(experiment)).headers.location);
    expect((await sealNow(path)).statusCode).toBe(303);
    const later = await setUp(experiment, { sessionName: `${A.name}, again`, heldOn: "" });
    expect(later.statusCode).toBe(422);
    const parts = await setUp(experiment, { sessionName: "Minerals, morning", heldOn: "" });
    expect(parts.statusCode).toBe(303);
  });

  it("seals a further session under the same plan with codes of its own", async () => {
    const experiment = await planned();
    const paths = [];
    for (const sessionName of ["Morning", "Evening"]) {
      const path = String((await setUp(experiment, { sessionName, heldOn: "" })).headers.location);
      expect((await sealNow(path)).statusCode).toBe(303);
      paths.push(path);
    }
    const sessions = await house.deps.store
      .selectFrom("sessions")
      .select(["plan_hash", "join_code", "commitment"])
      .execute();
    expect(sessions).toHaveLength(2);
    expect(sessions[0]?.plan_hash).toBe(sessions[1]?.plan_hash);
    expect(sessions[0]?.join_code).not.toBe(sessions[1]?.join_code);
    expect(sessions[0]?.commitment).not.toBe(sessions[1]?.commitment);
    const page = await lead.get(experiment);
    expect(page.body).toContain("Morning");
    expect(page.body).toContain("Evening");
  });

  it("says before closing that a phone with answers waiting comes to the desk first", async () => {
    const { sessionId } = await sealedSession(house);
    await step(sessionId, "opening");
    const page = await lead.get(`/lead/sessions/${sessionId}/closure`);
    expect(page.body).toContain("If a phone shows answers waiting, bring it to");
    expect(page.body).toContain(`href="/lead/sessions/${sessionId}/desk"`);
  });

  it("goes only forward and says what is wrong with any other step", async () => {
    const { sessionId } = await sealedSession(house);
    await lead.get(`/lead/sessions/${sessionId}`);
    const early = [await step(sessionId, "closure"), await step(sessionId, "unblinding")];
    expect(early.map(({ statusCode }) => statusCode)).toEqual([409, 409]);
    expect(early[0]?.body).toContain("isn’t open yet");
    expect(early[1]?.body).toContain("stays shut until the session is closed");
    await step(sessionId, "opening");
    const twice = await step(sessionId, "opening");
    expect(twice.statusCode).toBe(409);
    expect(twice.body).toContain("opened already");
    expect(await stateOf(sessionId)).toEqual({ state: "open" });
  });

  it("says before closing which seats have not finished", async () => {
    const fixture = await openSession(house);
    await joined(house, fixture);
    const page = await lead.get(`/lead/sessions/${fixture.sessionId}/closure`);
    expect(page.body).toContain("Seat 1: 7 sets missing");
    expect(page.body).not.toContain("Seat 2:");
  });

  it("says before closing what is true of a room that is empty, that withdrew, or that has finished", async () => {
    const fixture = await openSession(house);
    const page = async () => (await lead.get(`/lead/sessions/${fixture.sessionId}/closure`)).body;
    expect(await page()).toContain("Nobody has taken a seat, so no answer has come in.");
    const withdraws = await joined(house, fixture);
    await withdraws.get("/taste/stop");
    await withdraws.post("/taste/stop", {});
    expect(await page()).toContain("Everyone who took a seat has withdrawn");
    const stays = await joined(house, fixture);
    expect(await page()).toContain("Seat 2: 7 sets missing");
    for (const tray of await traysOf(house, fixture, 2)) {
      await stays.post(`/taste/${tray.ordinal}`, ballotOn(tray));
    }
    expect(await page()).toContain(
      "1 seat withdrew and took the answers along. Everyone else who took a seat has finished.",
    );
  });

  it("asks after closing to finish the brew log only while pots are missing in it", async () => {
    const fixture = await openSession(house);
    await closeSession(house, fixture);
    const page = async () => (await lead.get(`/lead/sessions/${fixture.sessionId}`)).body;
    const pots = await brewLog(house.deps.store, fixture.sessionId);
    expect(await page()).toContain("Finish the brew log first");
    await house.deps.store.transaction().execute(async (trx) => {
      for (const { potId, coffeeId, letter, waterLabel, plannedBrewer } of pots) {
        const record = brewRecordSchema.parse({
          ...goodBrew,
          coffeeId,
          potLetter: letter,
          waterLabel,
          brewer: plannedBrewer,
        });
        const at = "2026-03-02T09:00:00.000Z";
        await addBrew(trx, { id: `brew of ${potId}`, potId, attempt: 1, record, at });
      }
    });
    expect(await page()).not.toContain("Finish the brew log first");
    expect(await page()).toContain("the brew log locks with it");
  });

  it("publishes at unblinding what proves the key", async () => {
    const fixture = await openSession(house);
    await closeSession(house, fixture);
    const path = `/lead/sessions/${fixture.sessionId}`;
    expect((await lead.get(`${path}/key.json`)).statusCode).toBe(409);
    await lead.get(path);
    await step(fixture.sessionId, "unblinding");
    const published = (await lead.get(`${path}/key.json`)).json();
    expect(verifyUnblinding(published)).toBe(true);
    const event = (await eventsOf(house.deps.store, fixture.sessionId)).at(-1);
    expect(event?.body).toEqual({
      commitment: published.commitment,
      nonce: published.nonce,
      keyMatches: true,
    });
    expect((await lead.get(`${path}/key`)).body).toContain("Minerals into the pot");
  });

  it("shows no treatment and no secret on any page before the key is open", async () => {
    const { sessionId } = await openSession(house);
    const secrets = await house.deps.store
      .selectFrom("session_secrets")
      .selectAll()
      .executeTakeFirstOrThrow();
    const forbidden = [secrets.seed, secrets.nonce, "Minerals in the", "Minerals into", "ABB"];
    for (const page of ["", "/room", "/room/grid", "/closure"]) {
      const { statusCode, body } = await lead.get(`/lead/sessions/${sessionId}${page}`);
      expect(statusCode).toBe(200);
      for (const text of forbidden) expect(body).not.toContain(text);
    }
    expect((await lead.get(`/lead/sessions/${sessionId}/key`)).statusCode).toBe(409);
  });

  it("opens the key early only for a reason, which is kept", async () => {
    const { sessionId } = await openSession(house);
    const path = `/lead/sessions/${sessionId}/early-key`;
    expect((await lead.get(path)).body).toContain("This costs the blind");
    const without = await lead.post(path, { reason: "hm" });
    expect(without.statusCode).toBe(422);
    expect(without.body).toContain(">hm</textarea>");
    const answer = await lead.post(path, { reason: "A taster reacted to one cup" });
    expect(answer.headers.location).toBe(`/lead/sessions/${sessionId}/key`);
    const key = await lead.get(String(answer.headers.location));
    expect(key.statusCode).toBe(200);
    expect(key.body).not.toContain("Nonce");
    expect((await eventsOf(house.deps.store, sessionId)).at(-1)).toMatchObject({
      kind: "key-opened-early",
      body: { reason: "A taster reacted to one cup" },
    });
    expect((await lead.get(`/lead/sessions/${sessionId}`)).body).toContain("opened early");
  });
});
