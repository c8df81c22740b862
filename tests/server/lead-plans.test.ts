import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { draftOf, readPlan } from "../../server/lead/plan-form.ts";
import { planHash } from "../../src/design/seal.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, sealedSession } from "../sealed-session.ts";

const form = draftOf(examplePlan);

describe("A lead plans an experiment", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const versionIn = (page: string) => /name="version" value="([^"]*)"/.exec(page)?.[1] ?? "";
  const create = async (values: Record<string, string>) => {
    await lead.get("/lead/experiments/new");
    return await lead.post("/lead/experiments", values);
  };
  const created = async () => {
    const answer = await create(form);
    expect(answer.statusCode).toBe(303);
    return String(answer.headers.location).replace("?saved=yes", "");
  };

  it("shows nobody a plan who has not signed in", async () => {
    for (const path of ["/lead", "/lead/experiments/new", "/lead/experiments/x"]) {
      const answer = await house.visitor().get(path);
      expect([answer.statusCode, answer.headers.location?.split("?")[0]]).toEqual([
        303,
        "/sign-in",
      ]);
    }
  });

  it("says on an empty list what to do first", async () => {
    const page = await lead.get("/lead");
    expect(page.body).toContain("Start with the question");
    expect(page.body).toContain('href="/lead/experiments/new"');
  });

  it("keeps an empty form as a draft and marks every field that is missing", async () => {
    const answer = await create({});
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain('id="title-error"');
    expect(answer.body).toContain('id="coffees-error"');
    expect(answer.body).toContain("Kept as a draft");
    expect((await lead.get("/lead")).body).toContain("Untitled");
  });

  it("loses nothing that was typed beside an absurd number", async () => {
    const answer = await create({
      ...form,
      tasters: "minus twelve",
      question: `Is "more" <better>?`,
    });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain('value="minus twelve"');
    expect(answer.body).toMatch(/id="tasters-error">.*whole number/);
    expect(answer.body).toContain("Is &quot;more&quot; &lt;better&gt;?");
    expect(answer.body).toContain('aria-describedby="tasters-error tasters-hint"');
    const again = await lead.get((await latestExperiment(house)).path);
    expect(again.body).toContain('value="minus twelve"');
  });

  it("says after saving what the plan can and can't find", async () => {
    const page = await lead.get(`${await created()}?saved=yes`);
    expect(page.body).toContain("Saved. The plan is complete.");
    expect(page.body).toContain("What this can and can’t find");
    // 3 coffees: a triangle and a pair each, and one same-pot triangle.
    expect(page.body).toContain("7 sets and 18 cups per person");
    // 18 cups of 15 mL at 40 mg per 100 mL.
    expect(page.body).toContain("About 108 mg of caffeine each if every cup is swallowed");
    expect(page.body).toContain("3 brew pairs can never carry a claim about the process");
    expect(page.body).toContain("right and wrong answers need hidden same-treatment pairs");
  });

  it("warns when too few tasters can't answer the main question, with the number that could", async () => {
    // One triangle each, alpha 5 %, half of people noticing: 7 tasters find it 57 % of the time, and
    // 16 tasters 80 % (exact binomial; 16 also in common tables for the triangle test).
    const seven = { tasters: "7", coffees: "Bramble", "overall.margin": "50", "yield.role": "" };
    const few = await create({ ...form, ...seven });
    const warned = await lead.get(String(few.headers.location));
    expect(warned.body).toContain("Too few for the main question: with 7 tasters");
    expect(warned.body).toContain("found 57 % of the time. 16 tasters would make it 80 % or more");
    expect(warned.body).toContain("16 tasters make that 80 % or more, everything else as planned.");
  });

  it("copies an experiment with its plan and leaves the first as it is", async () => {
    const path = await created();
    const copied = await lead.post(`${path}/copies`, {});
    expect(copied.statusCode).toBe(303);
    expect(copied.headers.location).not.toBe(path);
    const copy = await lead.get(String(copied.headers.location));
    expect(copy.body).toContain('value="Copy of Minerals after brewing"');
    expect(copy.body).toContain("Sallow, very light");
    const renamed = { ...form, title: "Another", version: versionIn(copy.body) };
    await lead.post(String(copied.headers.location), renamed);
    const list = (await lead.get("/lead")).body;
    expect(list).toContain("Another");
    expect(list).toContain("Minerals after brewing");
  });

  it("declares allergens one a line, and keeps the hash of a plan that declares none", () => {
    const read = (draft: Record<string, string>) => {
      const reading = readPlan(draft);
      if (!reading.ok) throw new Error(JSON.stringify(reading.errors));
      return reading.plan;
    };
    const declared = read({ ...form, allergens: "milk\n hazelnut \n" });
    expect(declared.allergens).toEqual(["milk", "hazelnut"]);
    expect(read(draftOf(declared))).toEqual(declared);
    const none = read({ ...form, allergens: " \n" });
    expect(none).not.toHaveProperty("allergens");
    const { allergens: _, ...before } = form;
    expect(planHash(none)).toBe(planHash(read(before)));
  });

  it("keeps two leads from overwriting each other unawares", async () => {
    const path = await created();
    const other = await house.signedInLead();
    const mine = versionIn((await lead.get(path)).body);
    const theirs = versionIn((await other.get(path)).body);
    house.wait(1000);
    const first = await other.post(path, { ...form, title: "Theirs", version: theirs });
    expect(first.statusCode).toBe(303);
    const second = await lead.post(path, { ...form, title: "Mine", version: mine });
    expect(second.statusCode).toBe(409);
    expect(second.body).toContain("Somebody saved this plan");
    expect(second.body).toContain('value="Mine"');
    expect((await lead.get("/lead")).body).toContain("Theirs");
    const knowing = { ...form, title: "Mine", version: versionIn(second.body) };
    expect((await lead.post(path, knowing)).statusCode).toBe(303);
    expect((await other.get("/lead")).body).toContain("Mine");
  });

  it("keeps a sealed plan as it is, and offers a copy", async () => {
    const { experimentId } = await sealedSession(house);
    const path = `/lead/experiments/${experimentId}`;
    const page = await lead.get(path);
    expect(page.body).toContain("This plan is sealed");
    expect(page.body).not.toContain('name="tasters"');
    const answer = await lead.post(path, form);
    expect(answer.statusCode).toBe(409);
    expect(answer.body).toContain("Copy the experiment");
  });
});

async function latestExperiment(house: House): Promise<{ path: string }> {
  const row = await house.deps.store
    .selectFrom("experiments")
    .select("id")
    .executeTakeFirstOrThrow();
  return { path: `/lead/experiments/${row.id}` };
}
