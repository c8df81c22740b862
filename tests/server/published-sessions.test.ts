import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { answerSet, joinAsTaster, step } from "../../seed/play.ts";
import { type TrueSet, trueSets } from "../../seed/truth.ts";
import type { Answers } from "../../src/experiment/ballot.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { Findings } from "../../src/report/findings.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, sealedSession } from "../sealed-session.ts";

/** One coffee, one pair of pots, one question; each taster answers once. */
function planFor(endpoint: Plan["endpoints"][number], tasters: number): Partial<Plan> {
  return {
    coffees: examplePlan.coffees.slice(0, 1),
    endpoints: [endpoint],
    tasters,
    spareSeats: 0,
    controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
  };
}

/** Takes a panel through the program by HTTP and reads the report that comes out. */
async function run(
  house: House,
  plan: Partial<Plan>,
  answersOf: (set: TrueSet, taster: number) => Answers,
): Promise<{ findings: Findings; page: string; lead: Visitor; sessionId: string }> {
  const { sessionId, joinCode } = await sealedSession(house, plan);
  const lead = await house.signedInLead();
  await step(lead, sessionId, "opening");
  for (const set of await trueSets(house.deps.store, sessionId)) {
    const taster = await joinAsTaster(house.app, joinCode, `T${set.seat}`);
    await answerSet(taster, set.ordinal, answersOf(set, set.seat - 1));
  }
  await step(lead, sessionId, "closure");
  await step(lead, sessionId, "unblinding");
  const report = `/lead/sessions/${sessionId}/report`;
  const json = JSON.parse((await lead.get(`${report}/session.json`)).body);
  const page = (await lead.get(report)).body;
  return { findings: json.findings, page, lead, sessionId };
}

const only = (findings: Findings) => {
  const [endpoint] = findings.endpoints;
  if (endpoint === undefined) throw new Error("The report has no endpoint");
  return endpoint;
};
const codeOf = (set: TrueSet, treatment: "A" | "B") => {
  const cup = set.cups.find((candidate) => candidate.treatment === treatment);
  if (cup === undefined) throw new Error("The set lacks a treatment");
  return cup.code;
};

describe("Published results come out of the report when their answers go in over HTTP", () => {
  let house: House;
  beforeAll(async () => {
    house = await openHouse();
  });
  afterAll(() => house.close());

  it("triangle: 15 of 30 right is p = 0.0435 and just enough", async () => {
    // P(X > 14 | 30, 1/3) = .04348228: R output in "Sequential testing in a triangle test setting",
    // blog of 6 January 2013. Critical number 15 at 5 % for n = 30: FAO sensory assessment
    // guideline V7180E, Appendix A (layout of ISO 4120 Table A.1).
    const { findings, page } = await run(
      house,
      planFor(
        { id: "e1", kind: "overall-difference", role: "primary", method: "triangle", margin: 0.3 },
        30,
      ),
      (set, taster) => {
        const wrong = set.choices.find((code) => code !== set.rightCode) ?? "";
        return { e1: { chosen: taster < 15 ? (set.rightCode ?? "") : wrong } };
      },
    );
    const { counts, difference } = only(findings);
    expect([counts.correct, counts.answers]).toEqual([15, 30]);
    expect(difference.pValue).toBeCloseTo(0.04348228, 8);
    expect(difference.criticalCount).toBe(15);
    expect(page).toContain("15 of 30 picked the odd cup");
    expect(page).toContain("<dt>p</dt><dd>0.0435</dd>");
    expect(page).toContain('class="headline">Different<');
  });

  it("paired comparison: 13 of 15 one way is p = 0.0074, two-sided", async () => {
    // Sign test on Darwin's maize, 13 of 15 pairs favour the crossed plants (Darwin 1876; Fisher,
    // The Design of Experiments, 1935): 2 P(X ≥ 13 | 15, 1/2) = 242/32768 = 0.00738525390625.
    // Fewest of 15 at 5 %, two-sided, 12: rule of ISO 5495:2005 Table A.2.
    const { findings, page } = await run(
      house,
      planFor({ id: "e1", kind: "preference", role: "primary", margin: 0.3 }, 15),
      (set, taster) => ({ e1: { chosen: codeOf(set, taster < 13 ? "B" : "A") } }),
    );
    const { counts, difference } = only(findings);
    expect([counts.pickedA, counts.pickedB]).toEqual([2, 13]);
    expect(difference.pValue).toBe(242 / 32768);
    expect(difference.criticalCount).toBe(12);
    expect(page).toContain("<dt>p</dt><dd>0.0074</dd>");
  });

  const score = (tasters: number): Partial<Plan> =>
    planFor(
      {
        id: "e1",
        kind: "attribute-score",
        role: "primary",
        attribute: "sourness",
        lowAnchor: "none",
        highAnchor: "much",
        margin: 5,
      },
      tasters,
    );

  it("paired scores: Student's sleep data give t = −4.0621, p = 0.002833", async () => {
    // Cushny & Peebles' data in Student (1908), Biometrika 6; R's help page `sleep`: mean
    // difference −1.58, 95 % interval −2.4598858 to −0.7001142. Tenths of an hour, shifted by 2 h.
    const group1 = [7, -16, -2, -12, -1, 34, 37, 8, 0, 20].map((tenths) => tenths + 20);
    const group2 = [19, 8, 11, 1, -1, 44, 55, 16, 46, 34].map((tenths) => tenths + 20);
    const { findings } = await run(house, score(10), (set, taster) => ({
      e1: {
        scores: {
          [codeOf(set, "A")]: group2[taster] ?? Number.NaN,
          [codeOf(set, "B")]: group1[taster] ?? Number.NaN,
        },
      },
    }));
    const { estimate, companions } = only(findings);
    expect(companions.tPValue).toBeCloseTo(0.002833, 6);
    expect(estimate?.value).toBeCloseTo(-15.8, 12);
    expect(estimate?.lower).toBeCloseTo(-24.598858, 6);
    expect(estimate?.upper).toBeCloseTo(-7.001142, 6);
  });

  it("paired scores: Darwin's maize gives Fisher's exact randomisation p = 1726/32768", async () => {
    // Fisher, The Design of Experiments (1935), §21: 863 of 32768 sign arrangements give a total as
    // large; §17: mean 20.9333 eighths of an inch, t = 2.148. Eighths of an inch above 12 inches.
    const cross = [
      23.5, 12, 21, 22, 19.125, 21.5, 22.125, 20.375, 18.25, 21.625, 23.25, 21, 22.125, 23, 12,
    ];
    const difference = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48];
    const { findings, page } = await run(house, score(15), (set, taster) => {
      const crossed = ((cross[taster] ?? Number.NaN) - 12) * 8;
      return {
        e1: {
          scores: {
            [codeOf(set, "B")]: crossed,
            [codeOf(set, "A")]: crossed - (difference[taster] ?? Number.NaN),
          },
        },
      };
    });
    const { estimate, difference: test } = only(findings);
    expect(test.pValue).toBe(1726 / 32768);
    expect(estimate?.value).toBeCloseTo(20.9333, 4);
    expect(page).toContain("<dt>p</dt><dd>0.0527</dd>");
    expect(page).toContain('class="headline">Not settled<');
  });

  it("a ballot in the data file carries code, pot, treatment and time", async () => {
    const { lead, sessionId } = await run(
      house,
      planFor({ id: "e1", kind: "preference", role: "primary", margin: 0.3 }, 2),
      (set) => ({ e1: { chosen: codeOf(set, "B") } }),
    );
    const csv = (await lead.get(`/lead/sessions/${sessionId}/report/ballots.csv`)).body;
    const [heading, ...lines] = csv.trim().split("\r\n");
    expect(heading).toBe(
      "seat,presentation,coffee,pair,replicate,control,set,position,code,pot,treatment,odd,right_answer,endpoint,question,chosen,score,received_at,void_reason,mix_up,mixed_with",
    );
    expect(lines).toHaveLength(4);
    expect(lines.filter((line) => /,B,,,e1,liked better,yes,,2026-/.test(line))).toHaveLength(2);
  });
});
