import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { draftOf } from "../../server/lead/plan-form.ts";
import { readRehearsal, rehearsalDraft } from "../../server/lead/rehearsal-form.ts";
import { makeRehearsals, type RehearsalRun } from "../../server/lead/rehearsals.ts";
import { addExperiment } from "../../server/store/experiments.ts";
import { type Plan, planSchema } from "../../src/experiment/plan.ts";
import { usualAssumptions } from "../../src/rehearsal/assumptions.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, sealedSession } from "../sealed-session.ts";

/** A plan that plays fast: twelve tasters, one triangle each. */
const smallPlan: Plan = planSchema.parse({
  ...examplePlan,
  coffees: examplePlan.coffees.slice(0, 1),
  endpoints: examplePlan.endpoints.slice(0, 1),
  tasters: 12,
  controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
});

const PATIENCE = { timeout: 120_000, interval: 100 };

describe("The rehearsal page", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const withExperiment = async (plan: Plan, change: Record<string, string> = {}) => {
    const { leadId } = await sealedSession(house);
    const at = house.deps.clock().toISOString();
    await house.deps.store.transaction().execute((trx) =>
      addExperiment(trx, {
        id: "planned",
        title: plan.title,
        draft: { ...draftOf(plan), ...change },
        copiedFrom: null,
        createdBy: leadId,
        at,
      }),
    );
    return "/lead/experiments/planned/rehearsal";
  };

  it("starts from usual assumptions, is played, and says how often what comes out", async () => {
    const path = await withExperiment(smallPlan);
    const form = await lead.get(path);
    expect(form.statusCode).toBe(200);
    expect(form.headers.refresh).toBeUndefined();
    expect(form.body).toContain('name="expectedEffect" value="45"');
    const started = await lead.post(path, { panels: "200", potSdLogit: "0" });
    expect([started.statusCode, started.headers.location]).toEqual([303, path]);
    await expect
      .poll(async () => (await lead.get(path)).body, PATIENCE)
      .toContain("Played 200 panels a row");
    const { body, headers } = await lead.get(path);
    expect(headers.refresh).toBeUndefined();
    expect(body).toMatch(
      /If nothing differs, this plan would say “different” [\w ]+ times? in 100/,
    );
    expect(body).toContain("The difference you expect");
    // Kept as played, not as usual.
    expect(body).toContain('<option value="0" selected>Not at all');
  });

  it("shows progress by looking again, without a script, and can be stopped", async () => {
    const path = await withExperiment(planSchema.parse({ ...examplePlan, tasters: 12 }));
    await lead.get(path);
    await lead.post(path, { panels: "10000" });
    await expect
      .poll(async () => (await lead.get(path)).body, PATIENCE)
      .toMatch(/value="[1-9]\d*"><\/progress>/);
    const running = await lead.get(path);
    expect(running.headers.refresh).toBe("2");
    expect(running.body).not.toContain("<script");
    await lead.post(`${path}/cancellation`, {});
    const stopped = await lead.get(path);
    expect(stopped.headers.refresh).toBeUndefined();
    expect(stopped.body).toContain("Stopped early");
    expect(stopped.body).toContain("the numbers are sure to about");
  });

  it("says where a number is wrong and keeps everything typed", async () => {
    const path = await withExperiment(smallPlan);
    await lead.get(path);
    const answer = await lead.post(path, { expectedEffect: "150", guessers: "lots", leavers: "7" });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain("Give a number above 0, at most 95");
    expect(answer.body).toContain('aria-describedby="guessers-error guessers-hint"');
    expect(answer.body).toContain('value="lots"');
    expect(answer.body).toContain('value="7"');
  });

  it("says that the plan has been changed since it was played", async () => {
    const path = await withExperiment(smallPlan);
    await lead.get(path);
    await lead.post(path, { panels: "200" });
    await lead.get("/lead/experiments/planned");
    const version =
      /name="version" value="([^"]+)"/.exec(
        (await lead.get("/lead/experiments/planned")).body,
      )?.[1] ?? "";
    house.wait(1000);
    await lead.post("/lead/experiments/planned", {
      ...draftOf({ ...smallPlan, tasters: 13 }),
      version,
    });
    expect((await lead.get(path)).body).toContain("The plan has been changed since this rehearsal");
  });

  it("asks to complete a plan with gaps, and is for leads only", async () => {
    const path = await withExperiment(smallPlan, { coffees: "" });
    const answer = await lead.get(path);
    expect(answer.statusCode).toBe(409);
    expect(answer.body).toContain("Complete the plan first");
    expect((await house.visitor().get(path)).statusCode).not.toBe(200);
  });

  it("is linked from where the plan is read back before sealing", async () => {
    const path = await withExperiment(smallPlan);
    expect((await lead.get("/lead/experiments/planned")).body).toContain(`href="${path}"`);
    await lead.post("/lead/experiments/planned/sessions", { sessionName: "One", heldOn: "" });
    const list = (await lead.get("/lead/experiments/planned")).body;
    const session = /\/lead\/sessions\/([^"/]+)/.exec(list)?.[1] ?? "";
    expect((await lead.get(`/lead/sessions/${session}/seal`)).body).toContain(`href="${path}"`);
  });
});

describe("Rehearsals in the background", () => {
  const job = (panels: number) => ({
    plan: smallPlan,
    assumptions: usualAssumptions(smallPlan),
    panels,
    seedHex: "5".repeat(64),
  });
  const limits = { waiting: 2, kept: 3, milliseconds: 60_000 };
  const ended = async (run: () => RehearsalRun | undefined) =>
    await expect.poll(() => run()?.state, PATIENCE).toMatch(/done|stopped|failed/);

  it("run one at a time, let only so many wait, and start the next by themselves", async () => {
    const desk = makeRehearsals(limits);
    const started = ["a", "b", "c", "d"].map((name) => desk.start(name, job(300)));
    expect(started).toEqual([true, true, true, false]);
    expect(["a", "b", "c"].map((name) => desk.of(name)?.state)).toEqual([
      "running",
      "waiting",
      "waiting",
    ]);
    await ended(() => desk.of("c"));
    expect(["a", "b", "c"].map((name) => desk.of(name)?.state)).toEqual(["done", "done", "done"]);
    await desk.close();
  });

  it("give the same tallies for the same seed, whatever the thread does meanwhile", async () => {
    const desk = makeRehearsals(limits);
    desk.start("a", job(150));
    desk.start("b", job(150));
    await ended(() => desk.of("b"));
    expect(desk.of("a")?.tallies).toEqual(desk.of("b")?.tallies);
    await desk.close();
  });

  it("say why a plan can't be served", async () => {
    const desk = makeRehearsals(limits);
    const crowded = {
      ...smallPlan,
      tasters: 300,
      spareSeats: 100,
      replicates: 8,
      brewPairsPerCoffee: 10,
    };
    desk.start("crowded", { ...job(10), plan: crowded });
    await ended(() => desk.of("crowded"));
    expect(desk.of("crowded")?.state).toBe("failed");
    expect(desk.of("crowded")?.problem).toMatch(/code|cups/);
    await desk.close();
  });

  it("end when their time is up", async () => {
    const desk = makeRehearsals({ ...limits, milliseconds: 1500 });
    desk.start("endless", { ...job(1_000_000), plan: smallPlan });
    await ended(() => desk.of("endless"));
    expect(desk.of("endless")?.state).toBe("stopped");
    await desk.close();
  });
});

describe("The rehearsal form", () => {
  it("reads back the assumptions that it was filled from, for every kind of main question", () => {
    for (const endpoint of examplePlan.endpoints) {
      const plan: Plan = { ...examplePlan, endpoints: [{ ...endpoint, role: "primary" }] };
      const reading = readRehearsal(plan, rehearsalDraft(plan));
      expect(reading).toEqual({ ok: true, panels: 1000, assumptions: usualAssumptions(plan) });
    }
  });
});
