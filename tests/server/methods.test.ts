import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { answerSet, joinAsTaster, planExperiment, sealSession, step } from "../../seed/play.ts";
import { type TrueSet, trueSets } from "../../seed/truth.ts";
import { sessionById } from "../../server/store/sessions.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { Findings } from "../../src/report/findings.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { brightest, duoTrio, planFor, tetrad } from "../report/sessions.ts";

/** A plan of one coffee and 24 tasters that asks one question; everything else as usual. */
const planOf = (endpoint: Plan["endpoints"][number]): Plan =>
  planFor([endpoint], ["Bramble"], { tasters: 24 });

/** What a right or a wrong answer to a set is. */
function answerTo(set: TrueSet, right: boolean): { e1: { chosen: string } } {
  const wrong = set.choices.find((code) => code !== set.rightCode) ?? "";
  return { e1: { chosen: right ? (set.rightCode ?? "") : wrong } };
}

// R 4.2: binom.test(17, 24, 1/2, alternative = "greater") and binom.test(13, 24, 1/3, …).
const cases = [
  {
    endpoint: duoTrio,
    right: 17,
    pValue: 0.0319573283195496,
    asks: "The first cup, on the left, is the reference.",
    planned: "Either treatment is the reference in turn.",
    found: "17 of 24 matched the reference",
    own: "You found the cup like the reference in 1 of 1 sets.",
  },
  {
    endpoint: { ...duoTrio, reference: "A" } as const,
    right: 17,
    pValue: 0.0319573283195496,
    asks: "Reference: cup ",
    planned: "The reference is always Tank.",
    found: "17 of 24 matched the reference",
    own: "The cup like the reference was ",
  },
  {
    endpoint: tetrad,
    right: 13,
    pValue: 0.0284411280954688,
    asks: "These four cups are two pairs of the same.",
    planned: "(tetrad)",
    found: "13 of 24 made the right groups",
    own: "You made the right groups in 1 of 1 sets.",
  },
  {
    endpoint: brightest,
    right: 13,
    pValue: 0.0284411280954688,
    asks: "Which of these three cups has the most of this: brightness?",
    planned: "Expected beforehand: Pot has more (one-sided).",
    found: "it was picked out of three 13 of 24 times",
    own: "you picked the single one 1 of 1 times.",
  },
];

describe.each(cases)(
  "A session by $endpoint.kind, $endpoint.method $endpoint.reference",
  ({ endpoint, right, pValue, asks, planned, found, own }) => {
    let house: House;
    let lead: Visitor;
    let sessionId: string;
    let firstTaster: Visitor;
    let pages: { plan: string; set: string; gap: string };

    beforeAll(async () => {
      house = await openHouse();
      lead = await house.signedInLead();
      const experimentId = await planExperiment(lead, planOf(endpoint));
      sessionId = await sealSession(lead, experimentId, { sessionName: "One", heldOn: "" });
      const plan = (await lead.get(`/lead/experiments/${experimentId}`)).body;
      await step(lead, sessionId, "opening");
      const { store } = house.deps;
      const joinCode = (await sessionById(store, sessionId))?.sealed?.joinCode ?? "";
      const sets = await trueSets(store, sessionId);
      pages = { plan, set: "", gap: "" };
      for (const [at, set] of sets.entries()) {
        const taster = await joinAsTaster(house.app, joinCode, `T${set.seat}`);
        if (at === 0) {
          firstTaster = taster;
          pages.set = (await taster.get("/taste")).body;
          pages.gap = (
            await taster.post(`/taste/${set.ordinal}`, { key: "an-unanswered-page", step: "check" })
          ).body;
        }
        await answerSet(taster, set.ordinal, answerTo(set, at < right));
      }
      await step(lead, sessionId, "closure");
      await step(lead, sessionId, "unblinding");
    });
    afterAll(() => house.close());

    const download = async (name: string) =>
      (await lead.get(`/lead/sessions/${sessionId}/report/${name}`)).body;

    it("is planned on the form and read back", () => {
      expect(pages.plan).toContain(planned);
    });

    it("asks on the phone what the method asks, and only what can be chosen", async () => {
      expect(pages.set).toContain(asks);
      const [set] = await trueSets(house.deps.store, sessionId);
      const values = [...pages.set.matchAll(/name="e1" value="(\d{3})"/g)].map(([, code]) => code);
      expect(values).toEqual(set?.choices);
    });

    it("says of an empty answer what is to be chosen", () => {
      const wanted = planned === "(tetrad)" ? "Choose the two groups" : "Choose a cup";
      for (const page of [pages.set, pages.gap]) expect(page).toContain(`>${wanted}</p>`);
      expect(pages.gap).toContain("<strong>Please mend this</strong>");
    });

    it("gives the p of the exact binomial and says what was found", async () => {
      const { findings }: { findings: Findings } = JSON.parse(await download("session.json"));
      expect(findings.headline).toBe("different");
      expect(findings.endpoints[0]?.counts).toMatchObject({ answers: 24, correct: right });
      expect(findings.endpoints[0]?.difference.pValue).toBeCloseTo(pValue, 12);
      const report = (await lead.get(`/lead/sessions/${sessionId}/report`)).body;
      expect(report.replaceAll(" ", " ")).toContain(found);
    });

    it("writes out which choice was right, cup by cup", async () => {
      const [heading = "", ...rows] = (await download("ballots.csv")).trim().split("\r\n");
      const columns = heading.split(",");
      const cell = (row: string, name: string) => row.split(",")[columns.indexOf(name)];
      const chosenRight = rows.filter(
        (row) => cell(row, "chosen") === "yes" && cell(row, "right_answer") === "yes",
      );
      expect(chosenRight).toHaveLength(right);
    });

    it("tells a taster how they did, where the lead lets them see it", async () => {
      const form = await lead.get(`/lead/sessions/${sessionId}/afterwards`);
      expect(form.statusCode).toBe(200);
      await lead.post(`/lead/sessions/${sessionId}/afterwards`, { see: "own" });
      const page = (await firstTaster.get("/taste/afterwards")).body;
      expect(page.replaceAll(" ", " ")).toContain(own);
    });
  },
);

describe("Two questions about the same three cups", () => {
  it("count apart in what a taster is told of their own answers", async () => {
    const house = await openHouse();
    const lead = await house.signedInLead();
    const other = { ...brightest, id: "e2", role: "secondary", attribute: "body" } as const;
    const plan = planFor([brightest, other], ["Bramble", "Sallow", "Cinder"], { tasters: 2 });
    const experimentId = await planExperiment(lead, plan);
    const sessionId = await sealSession(lead, experimentId, { sessionName: "One", heldOn: "" });
    await step(lead, sessionId, "opening");
    const { store } = house.deps;
    const joinCode = (await sessionById(store, sessionId))?.sealed?.joinCode ?? "";
    const taster = await joinAsTaster(house.app, joinCode, "T1");
    const sets = (await trueSets(store, sessionId)).filter(({ seat }) => seat === 1);
    expect(sets.map(({ set }) => set)).toEqual(["three-afc", "three-afc", "three-afc"]);
    for (const set of sets) {
      const [right, wrong] = [answerTo(set, true), answerTo(set, false)];
      await answerSet(taster, set.ordinal, { e1: right.e1, e2: wrong.e1 });
    }
    await step(lead, sessionId, "closure");
    await step(lead, sessionId, "unblinding");
    await lead.get(`/lead/sessions/${sessionId}/afterwards`);
    await lead.post(`/lead/sessions/${sessionId}/afterwards`, { see: "own" });
    const page = (await taster.get("/taste/afterwards")).body;
    expect(page).toContain("you picked the single one 3 of 6 times.");
    expect(page).toContain("Guessing alone picks it about 2 times.");
    await house.close();
  });
});
