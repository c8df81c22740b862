import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { answerSet, joinAsTaster, step } from "../../seed/play.ts";
import { type TrueSet, trueSets } from "../../seed/truth.ts";
import type { Answers } from "../../src/experiment/ballot.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, type SealedFixture, sealedSession } from "../sealed-session.ts";

describe("What tasters may see afterwards", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  let tasters: Visitor[];
  let sets: TrueSet[];
  beforeEach(async () => {
    house = await openHouse();
    session = await sealedSession(house, {
      coffees: examplePlan.coffees.slice(0, 2),
      tasters: 2,
      spareSeats: 0,
    });
    lead = await house.signedInLead();
    await step(lead, session.sessionId, "opening");
    sets = await trueSets(house.deps.store, session.sessionId);
    tasters = [];
    for (const seat of [1, 2]) {
      const taster = await joinAsTaster(house.app, session.joinCode, `T${seat}`);
      for (const set of sets.filter((one) => one.seat === seat)) {
        await answerSet(taster, set.ordinal, answersTo(set, seat));
      }
      tasters.push(taster);
    }
    await step(lead, session.sessionId, "closure");
  });
  afterEach(() => house.close());

  /** The first taster finds the odd cup and scores 71 and 72; the second misses it and scores 13. */
  function answersTo(set: TrueSet, seat: number): Answers {
    const [first, second] = set.cups;
    if (first === undefined || second === undefined) throw new Error("A set has two cups");
    const wrong = set.choices.find((code) => code !== set.rightCode) ?? "";
    if (set.set === "triangle")
      return { e1: { chosen: seat === 1 ? (set.rightCode ?? "") : wrong } };
    const chosen = { chosen: first.code };
    const scores =
      seat === 1
        ? { [first.code]: 71, [second.code]: 72 }
        : { [first.code]: 13, [second.code]: 13 };
    return { e2: chosen, e3: chosen, e4: { scores } };
  }

  const choose = async (see: string) => {
    const page = `/lead/sessions/${session.sessionId}/afterwards`;
    await lead.get(page);
    return await lead.post(page, { see });
  };
  const unblind = () => step(lead, session.sessionId, "unblinding");
  const look = async (seat: 1 | 2) => {
    const taster = tasters[seat - 1];
    if (taster === undefined) throw new Error("Nobody sits there");
    const end = await taster.get("/taste");
    const own = await taster.get("/taste/afterwards");
    return { end: end.body, status: own.statusCode, own: own.body };
  };
  const [treatmentA, treatmentB] = [examplePlan.treatments.A.name, examplePlan.treatments.B.name];

  it("is nothing unless the lead says otherwise", async () => {
    await unblind();
    const { end, status, own } = await look(1);
    expect(end).not.toContain("/taste/afterwards");
    expect(status).toBe(403);
    expect(own).not.toContain(treatmentA);
  });

  it("can't be chosen, and shows nothing, before the key is open", async () => {
    expect((await choose("own-and-headline")).statusCode).toBe(409);
    await house.deps.store.updateTable("sessions").set({ tasters_see: "own" }).execute();
    const { end, status, own } = await look(1);
    expect(status).toBe(403);
    for (const page of [end, own]) {
      expect(page).not.toContain(treatmentA);
      expect(page).not.toContain(treatmentB);
      expect(page).not.toContain("odd cup was");
    }
  });

  it("is how they did when the lead lets them: own answers and what the cups held", async () => {
    await unblind();
    const saved = String((await choose("own")).headers.location);
    expect((await lead.get(saved)).body).toContain("Saved: tasters see what is chosen below");
    const first = await look(1);
    expect(first.end).toContain('href="/taste/afterwards"');
    const triangles = sets.filter((set) => set.seat === 1 && set.set === "triangle");
    const tests = triangles.filter((set) => set.control === null);
    expect(first.own).toContain(`You found the odd cup in ${tests.length} of ${tests.length} sets`);
    for (const { rightCode } of tests) {
      expect(first.own).toContain(`You picked ${rightCode}. The odd cup was ${rightCode}.`);
    }
    const pair = sets.find((set) => set.seat === 1 && set.set === "ab" && set.control === null);
    for (const { code, treatment } of pair?.cups ?? []) {
      const name = treatment === "A" ? treatmentA : treatmentB;
      expect(first.own).toContain(`${code}: ${name} – 7`);
    }
    const second = await look(2);
    expect(second.own).toContain(`You found the odd cup in 0 of ${tests.length} sets`);
    expect(second.own).not.toMatch(/– 7[12]/);
    expect(first.own).not.toContain("– 13");
    expect(first.own).not.toContain("What the whole panel found");
  });

  it("says of hidden checks that nothing was right or wrong, and names no treatment there", async () => {
    await unblind();
    await choose("own");
    const { own } = await look(1);
    const control = sets.find((set) => set.seat === 1 && set.control !== null);
    const section = own.split("<h2>").find((part) => part.startsWith(`Set ${control?.ordinal}<`));
    expect(section).toContain("A hidden check");
    expect(section).not.toContain("odd cup was");
    expect(section).not.toContain(treatmentA);
    expect(section).not.toContain(treatmentB);
  });

  it("holds the headline only when the lead adds it", async () => {
    await unblind();
    await choose("own-and-headline");
    const { own } = await look(2);
    const headline = /class="headline">([^<]+)</.exec(
      (await lead.get(`/lead/sessions/${session.sessionId}/report`)).body,
    )?.[1];
    expect(headline).toBeDefined();
    expect(own).toContain(`<strong>${headline}.</strong>`);
    await choose("nothing");
    expect((await look(2)).status).toBe(403);
  });

  it("is gone for who has had their name erased", async () => {
    await unblind();
    await choose("own");
    await tasters[0]?.get("/taste/stop");
    await tasters[0]?.post("/taste/stop", {});
    expect((await tasters[0]?.get("/taste/afterwards"))?.headers.location).toBe("/join");
  });

  it("is logged with the lead who chose it, and falls back to nothing on a strange choice", async () => {
    await unblind();
    await choose("own");
    await choose("everything");
    const events = await house.deps.store
      .selectFrom("events")
      .select(["kind", "actor", "body_json"])
      .where("kind", "=", "tasters-may-see")
      .orderBy("sequence")
      .execute();
    expect(events.map(({ body_json }) => JSON.parse(body_json).see)).toEqual(["own", "nothing"]);
    expect(events.every(({ actor }) => actor.startsWith("lead:"))).toBe(true);
    expect((await look(1)).status).toBe(403);
  });
});
