import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { step } from "../../seed/play.ts";
import { brewLog, type PotOnLog } from "../../server/store/brews.ts";
import { eventsOf } from "../../server/store/events.ts";
import { evidenceOf } from "../../server/store/evidence.ts";
import { limitBreaches } from "../../src/experiment/brew-limits.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { type SealedFixture, sealedSession } from "../sealed-session.ts";

const good = {
  brewer: "North",
  dose_g: "60",
  brew_water_g: "1000",
  beverage_g: "874",
  brew_s: "195",
  tds_percent: "1.38 1.39",
  sample: "no-addition",
  zero: "pure-water",
  added_g: "0",
  held_min: "4",
  served_c: "61,5",
};

describe("Brew pairs", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  let base: string;
  let pair: [PotOnLog, PotOnLog];
  const pots = () => brewLog(house.deps.store, session.sessionId);
  beforeEach(async () => {
    house = await openHouse();
    session = await sealedSession(house);
    lead = await house.signedInLead();
    base = `/lead/sessions/${session.sessionId}`;
    const [one, ...rest] = await pots();
    const other = rest.find((pot) => pot.coffeeId === one?.coffeeId && pot.pair === one.pair);
    if (one === undefined || other === undefined) throw new Error("The session has no pair");
    pair = [one, other];
  });
  afterEach(() => house.close());

  const log = async (pot: PotOnLog, change: Record<string, string> = {}) => {
    await lead.get(`${base}/brews/${pot.potId}`);
    return await lead.post(`${base}/brews/${pot.potId}`, { ...good, ...change });
  };
  const rejectFor = async (reason: string) => {
    await lead.get(`${base}/brews/${pair[0].potId}/rejection`);
    return await lead.post(`${base}/brews/${pair[0].potId}/rejection`, { reason });
  };

  it("keep holding time, serving temperature and the refractometer's zero", async () => {
    await log(pair[0]);
    const brew = (await pots()).find(({ potId }) => potId === pair[0].potId)?.brew;
    expect(brew?.heldMinutes).toBe(4);
    expect(brew?.servedCelsius).toBe(61.5);
    expect(brew?.refractometerZero).toBe("pure-water");
  });

  it.each([
    [{ dose_g: "60.4" }, "dose 0.4 g off the recipe (limit 0.3)"],
    [{ brew_water_g: "994" }, "water 6 g off the recipe (limit 5)"],
    [{ brew_s: "216" }, "brew time 21 s from the other pot of its pair (limit 20)"],
    [{ tds_percent: "1.38 1.43" }, "readings 0.05 % TDS apart (limit 0.04)"],
  ])("show what lies outside the sealed limits: %o", async (change, finding) => {
    await log(pair[1]);
    await log(pair[0], change);
    expect((await lead.get(`${base}/brews`)).body).toContain(finding);
  });

  it("pass exactly at the limit", async () => {
    await log(pair[1]);
    await log(pair[0], {
      dose_g: "60.3",
      brew_water_g: "1005",
      brew_s: "215",
      tds_percent: "1.38 1.42",
    });
    expect((await lead.get(`${base}/brews`)).body).not.toContain("limit");
  });

  it("have no limits where the plan sets none", () => {
    const { plan } = session;
    const brew = {
      coffeeId: "c1",
      potLetter: "K",
      waterLabel: "",
      brewer: "N",
      doseGrams: 90,
      brewWaterGrams: 500,
      beverageGrams: 400,
      brewSeconds: 60,
      tdsReadingsPercent: [1, 2],
      sampleTiming: "no-addition" as const,
      addedGrams: 0,
      note: "",
    };
    expect(limitBreaches(brew, null, plan)).toHaveLength(3);
    expect(limitBreaches(brew, null, { ...plan, brewLimits: null })).toEqual([]);
  });

  it("are rejected only for a reason on their inputs, both pots, and counted again once brewed again", async () => {
    await log(pair[1]);
    await log(pair[0], { dose_g: "60.4" });
    const page = await lead.get(`${base}/brews/${pair[0].potId}/rejection`);
    expect(page.body).toContain("The dose was outside its limit");
    expect(page.body).not.toContain("Repeated readings disagree");
    for (const reason of ["", "yield-too-low", "readings-disagree"]) {
      expect((await rejectFor(reason)).statusCode).toBe(422);
    }
    expect((await rejectFor("dose-outside-limit")).statusCode).toBe(303);
    const rejected = (await pots()).filter((pot) => pot.rejected === "dose-outside-limit");
    expect(rejected.map(({ potId }) => potId).sort()).toEqual(
      pair.map(({ potId }) => potId).sort(),
    );
    expect((await eventsOf(house.deps.store, session.sessionId)).at(-1)?.kind).toBe(
      "brew-pair-rejected",
    );
    const evidence = await evidenceOf(house.deps.store, session.sessionId, session.plan);
    expect(evidence.pots.filter((pot) => pot.rejected !== null)).toHaveLength(2);

    await log(pair[0]);
    await log(pair[1]);
    expect((await pots()).every((pot) => pot.rejected === null)).toBe(true);
    const attempts = await house.deps.store.selectFrom("brews").select("attempt").execute();
    expect(attempts.map(({ attempt }) => attempt).sort()).toEqual([1, 1, 2, 2]);
  });

  it("can't be rejected before they are logged", async () => {
    expect((await rejectFor("held-too-long")).statusCode).toBe(409);
  });

  it("are drawn on a control chart without a treatment", async () => {
    // 1.40 % × 874 g ÷ 60 g = 20.39 % by the solute mass balance.
    await log(pair[0], { tds_percent: "1.40" });
    const { body } = await lead.get(`${base}/brews`);
    expect(body).toContain("Brewing control chart");
    expect(body).toMatch(/aria-label="Brewing control chart: [^"]*20\.4 % extraction at 1\.40 %/);
    for (const { name } of Object.values(session.plan.treatments)) expect(body).not.toContain(name);
    expect(body).toContain("Treatments stay unknown until the key is opened.");
    for (const act of ["opening", "closure", "unblinding"] as const) {
      await step(lead, session.sessionId, act);
    }
    const opened = (await lead.get(`${base}/brews`)).body;
    expect(opened).toContain("Brewing control chart");
    expect(opened).not.toContain("Treatments stay unknown");
  });

  describe("wait for brewers that are alike", () => {
    const blank = async (brewer: string, seconds: string, grams: string) => {
      await lead.get(`${base}/parity`);
      return await lead.post(`${base}/parity`, { brewer, seconds, grams });
    };

    it("within 10 s and 10 g on blank runs (common practice, no source)", async () => {
      await blank("North", "200", "870");
      await blank("South", "209", "861,5");
      const page = (await lead.get(`${base}/parity`)).body;
      expect(page).toContain("Alike enough");
      expect(page).toContain("Brew times 9.0 s apart");
      expect(page).toContain("beverage 8.5 g apart");
    });

    it("and take no blank run, brew or rejection once the key is open", async () => {
      await log(pair[0]);
      const { store } = house.deps;
      for (const state of ["open", "closed", "unblinded"] as const) {
        await store
          .updateTable("sessions")
          .set({ state })
          .where("id", "=", session.sessionId)
          .execute();
      }
      const before = await eventsOf(store, session.sessionId);
      expect((await blank("North", "200", "870")).statusCode).toBe(409);
      expect((await log(pair[0])).statusCode).toBe(409);
      expect((await rejectFor("held-too-long")).statusCode).toBe(409);
      expect(await eventsOf(store, session.sessionId)).toHaveLength(before.length);
    });

    it("and says so when they are not", async () => {
      await blank("North", "200", "870");
      await blank("South", "211", "870");
      expect((await lead.get(`${base}/parity`)).body).toContain("Not alike: mend this");
    });

    it.each([
      ["", "200", "870", "Choose the brewer"],
      ["Somebody", "200", "870", "Choose the brewer"],
      ["North", "fast", "870", "Give the brew time as a number"],
      ["North", "200", "0", "must be more than 0"],
    ])("refuses a run that can't be (%s, %s s, %s g)", async (brewer, seconds, grams, message) => {
      const answer = await blank(brewer, seconds, grams);
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain(message);
    });
  });
});

describe("A pair that broke a sealed limit and was not rejected", () => {
  it("stands on the page that opens the key, and in the report as a deviation", async () => {
    const house = await openHouse();
    const session = await sealedSession(house);
    const lead = await house.signedInLead();
    const base = `/lead/sessions/${session.sessionId}`;
    const [pot] = await brewLog(house.deps.store, session.sessionId);
    await lead.get(`${base}/brews/${pot?.potId}`);
    await lead.post(`${base}/brews/${pot?.potId}`, { ...good, dose_g: "61" });
    for (const act of ["opening", "closure"]) {
      await lead.get(base);
      await lead.post(`${base}/${act}`, {});
    }
    const page = (await lead.get(`${base}/unblinding`)).body;
    expect(page).toContain("Outside the sealed limits, and not rejected");
    expect(page).toContain(`pot ${pot?.letter}: dose 1 g off the recipe (limit 0.3)`);
    await lead.post(`${base}/unblinding`, {});
    const report = (await lead.get(`${base}/report`)).body;
    expect(report).toContain(
      `Against the sealed plan, 1 pot outside its limits was not rejected and counts: pot ${pot?.letter} (dose 1 g off the recipe (limit 0.3)).`,
    );
    expect(report).toContain("3 brew pairs of 3 were not logged");
    await house.close();
  });
});
