import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { planExperiment, sealSession } from "../../seed/play.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan } from "../sealed-session.ts";
import { brightPlan, sit } from "./bright-sitting.ts";

const { A: tank, B: pot } = examplePlan.treatments;

describe("Evidence over sessions", () => {
  let house: House;
  let lead: Visitor;
  let experimentId: string;
  beforeAll(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    experimentId = await planExperiment(lead, brightPlan());
    await sit(house, lead, experimentId, { name: "Monday", picksOfB: 9 });
    await sit(house, lead, experimentId, { name: "Tuesday", picksOfB: 6 });
    await sit(house, lead, experimentId, { name: "Friday", picksOfB: 8 });
  }, 120_000);
  afterAll(() => house.close());

  it("says first, in words, what the sessions say together and what to expect of a new one", async () => {
    // 9, 6 and 8 of 10: log odds with half an answer on either side, REML τ² 0.04276, modified Hartung–Knapp
    // interval, prediction with t(1): computed in Python (numpy, scipy).
    const { body, statusCode } = await lead.get(`/lead/experiments/${experimentId}/evidence`);
    expect(statusCode).toBe(200);
    expect(body).toContain(
      "Three sessions: on average Minerals into the pot is picked as having more bright 73 times in 100 (95 % interval 30 to 94); a new session on new coffees would be expected to lie between 1 and 100 in 100.",
    );
    expect(body).toContain("could still be no difference");
    expect(body).toContain("(Q &#x3D; 2.1 on 2 df, p &#x3D; 0.353;");
    expect(body).toMatch(/<svg[^>]*role="img"/);
    expect(body).toContain("1. Monday, 2026-03-02");
    expect(body).toContain("Roast: very light");
  });

  it("says why a session's own report shows other numbers", async () => {
    const treatments = { A: { ...tank, name: "Old filter" }, B: { ...pot, name: "New filter" } };
    const alone = await planExperiment(lead, brightPlan({ title: "One sitting", treatments }));
    await sit(house, lead, alone, { name: "Alone", picksOfB: 6 });
    const { body } = await lead.get(`/lead/experiments/${alone}/evidence`);
    // 6½ of 11 against 6 of 10.
    expect(body).toContain("picked as having more bright 59 times in 100");
    expect(body).toContain("here half an answer is added on either side");
  });

  it("says that going on was not planned when a session was sealed after a result was known", async () => {
    const { body } = await lead.get(`/lead/experiments/${experimentId}/evidence`);
    expect(body).toContain("Not planned as one: 2 sessions were sealed after a result was known");
  });

  it("is on the shelf, question by question", async () => {
    const { body } = await lead.get("/lead/evidence");
    expect(body).toContain('<a href="/lead/evidence/direction-bright">Which has more bright?</a>');
    expect((await lead.get("/lead/evidence/direction-sour")).statusCode).toBe(404);
    expect((await lead.get("/lead")).body).toContain('href="/lead/evidence"');
  });

  it("is for leads only, and holds nothing of a session whose key is shut", async () => {
    for (const path of ["/lead/evidence", `/lead/experiments/${experimentId}/evidence`]) {
      expect((await house.visitor().get(path)).statusCode).not.toBe(200);
    }
    const other = await planExperiment(lead, brightPlan({ title: "Not yet" }));
    await sealSession(lead, other, { sessionName: "Sealed", heldOn: "2026-03-02" });
    const { body } = await lead.get(`/lead/experiments/${other}/evidence`);
    expect(body).toContain("No session of this experiment is unblinded yet");
    expect((await lead.get("/lead/evidence/direction-bright")).body).not.toContain("Not yet");
  });

  it("combines experiments over the same two treatments, whichever was called B", async () => {
    const turned = await planExperiment(
      lead,
      brightPlan({
        title: "Turned round",
        treatments: { A: { ...pot, name: "minerals into  the pot" }, B: tank },
      }),
    );
    // Nobody picks the tank, which is B here.
    await sit(house, lead, turned, { name: "Sunday", picksOfB: 0 });
    const { body } = await lead.get("/lead/evidence/direction-bright");
    expect(body).toContain("Minerals into the pot against Minerals in the brew water");
    expect(body).toMatch(
      /Four sessions: on average Minerals into the pot is picked as having more bright (?:7[4-9]|8\d) times in 100/,
    );
    expect(body).toContain("4. Turned round: Sunday, 2026-03-02");
    expect(body).toContain("No session yet whose plan states different ions");
  });

  it("reads experiments that share one treatment together, against whatever it was compared with", async () => {
    const third = await planExperiment(
      lead,
      brightPlan({
        title: "No minerals",
        treatments: { A: { ...tank, name: "No minerals" }, B: pot },
      }),
    );
    await sit(house, lead, third, { name: "Saturday", picksOfB: 10 });
    const { body } = await lead.get("/lead/evidence/direction-bright");
    expect(body).toContain("Minerals into the pot, against whatever it was compared with");
    expect(body).toContain("Five sessions: on average Minerals into the pot");
  });

  it("leaves imported panels out and says so", async () => {
    const outside = await planExperiment(lead, brightPlan({ title: "Outside" }));
    const page = `/lead/experiments/${outside}/import`;
    const { body } = await lead.get("/lead/evidence/direction-bright");
    expect(body).not.toContain("imported panel");
    const rows = Array.from({ length: 8 }, (_, i) => `T${i + 1},${i < 6 ? "B" : "A"}`);
    const sheet = ["taster,chosen", ...rows].join("\n");
    const panel = { sessionName: "Panel", heldOn: "2026-02-20", sheet, act: "store" };
    await lead.get(page);
    expect((await lead.post(page, panel)).statusCode).toBe(303);
    const left =
      "One imported panel is left out: nothing was sealed before its answers were known.";
    for (const path of [
      `/lead/experiments/${outside}/evidence`,
      "/lead/evidence/direction-bright",
    ]) {
      expect((await lead.get(path)).body).toContain(left);
    }
  });

  it("names the ions that recipes don’t separate, and says nothing about them", async () => {
    const none = { ...tank, name: "Soft water", addedIons: {} };
    const salt = await planExperiment(
      lead,
      brightPlan({
        title: "Salt",
        treatments: {
          A: none,
          B: { ...pot, name: "Mg", addedIons: { magnesium: 12, chloride: 35 } },
        },
      }),
    );
    await sit(house, lead, salt, { name: "One", picksOfB: 9 });
    const refused = (await lead.get("/lead/evidence/direction-bright")).body;
    expect(refused).toContain("These recipes don’t tell magnesium and chloride apart");
    expect(refused).not.toContain("for 10 mg/L more");
    for (const [i, addedIons] of [
      { calcium: 20, chloride: 35.4 },
      { magnesium: 6, calcium: 10, chloride: 35.2 },
    ].entries()) {
      const name = `Water ${i}`;
      const id = await planExperiment(
        lead,
        brightPlan({ title: name, treatments: { A: none, B: { ...pot, name, addedIons } } }),
      );
      await sit(house, lead, id, { name: "One", picksOfB: i === 0 ? 4 : 7 });
    }
    const told = (await lead.get("/lead/evidence/direction-bright")).body;
    expect(told).toContain("each effect is that of the ion with chloride making up its charge");
    expect(told).toMatch(/<th scope="row">magnesium<\/th>/);
    expect(told).toContain("From 3 sessions whose recipes differ in ions");
  }, 120_000);
});
