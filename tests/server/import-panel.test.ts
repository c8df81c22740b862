import { randomUUID } from "node:crypto";
import { strFromU8, unzipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { draftOf } from "../../server/lead/plan-form.ts";
import { addExperiment } from "../../server/store/experiments.ts";
import { verifyStore } from "../../server/store/verification.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { Findings } from "../../src/report/findings.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { brightest, duoTrio, tetrad } from "../report/sessions.ts";
import { examplePlan } from "../sealed-session.ts";

let house: House;
let lead: Visitor;
beforeAll(async () => {
  house = await openHouse();
  lead = await house.signedInLead();
});
afterAll(() => house.close());

/** An experiment under the example plan with `overrides`; answers the address of its import page. */
async function importPage(overrides: Partial<Plan> = {}): Promise<string> {
  const plan = { ...examplePlan, ...overrides };
  const id = randomUUID();
  const { id: createdBy } = await house.deps.store
    .selectFrom("leads")
    .select("id")
    .executeTakeFirstOrThrow();
  const at = house.deps.clock().toISOString();
  const experiment = { title: plan.title, draft: draftOf(plan), copiedFrom: null, createdBy, at };
  await house.deps.store.transaction().execute((trx) => addExperiment(trx, { id, ...experiment }));
  return `/lead/experiments/${id}/import`;
}

const oneQuestion = (endpoint: Plan["endpoints"][number]): Partial<Plan> => ({
  coffees: examplePlan.coffees.slice(0, 1),
  endpoints: [endpoint],
});

const session = { sessionName: "Outside panel", heldOn: "2026-02-20" };

async function imported(
  page: string,
  sheet: string,
): Promise<{ findings: Findings; path: string }> {
  await lead.get(page);
  const checked = await lead.post(page, { ...session, sheet, act: "check" });
  expect([checked.statusCode, checked.body.includes("All is well")]).toEqual([200, true]);
  const stored = await lead.post(page, { ...session, sheet, act: "store" });
  expect(stored.statusCode).toBe(303);
  const path = stored.headers.location ?? "";
  const zip = (await lead.get(`${path}/report/package.zip`)).rawPayload;
  const findings: Findings = JSON.parse(
    strFromU8(unzipSync(zip)["findings.json"] ?? new Uint8Array()),
  );
  return { findings, path };
}

const only = ({ endpoints }: Findings) => {
  const [endpoint] = endpoints;
  if (endpoint === undefined) throw new Error("The report has no endpoint");
  return endpoint;
};

describe("Published data that an outside panel's file brings give the published results", () => {
  it("Student's sleep data: t = −4.0621, p = 0.002833", async () => {
    // Cushny & Peebles' data in Student (1908), Biometrika 6; R's help page `sleep`: mean difference
    // −1.58 h, 95 % interval −2.4598858 to −0.7001142. Tenths of an hour, shifted by 2 h.
    const first = [7, -16, -2, -12, -1, 34, 37, 8, 0, 20].map((tenths) => tenths + 20);
    const second = [19, 8, 11, 1, -1, 44, 55, 16, 46, 34].map((tenths) => tenths + 20);
    const rows = first.map((score, i) => `Patient ${i + 1};${second[i]};${score}`);
    const page = await importPage(
      oneQuestion({
        id: "e1",
        kind: "attribute-score",
        role: "primary",
        attribute: "sourness",
        lowAnchor: "none",
        highAnchor: "much",
        margin: 5,
      }),
    );
    const { findings } = await imported(page, `taster;score_a;score_b\r\n${rows.join("\r\n")}\r\n`);
    const { estimate, companions, difference } = only(findings);
    expect(companions.tPValue).toBeCloseTo(0.00283289019738427, 12);
    expect(estimate?.value).toBeCloseTo(-15.8, 12);
    expect(estimate?.lower).toBeCloseTo(-24.598858, 6);
    expect(estimate?.upper).toBeCloseTo(-7.001142, 6);
    expect(difference.pValue).toBe(2 / 2 ** 9);
  });

  it("Darwin's maize: Fisher's exact randomisation p = 1726/32768", async () => {
    // Fisher, The Design of Experiments (1935), §21: 863 of 32768 sign arrangements give a total as
    // large; §17: mean 20.9333 eighths of an inch. Half of each difference either side of 50.
    const differences = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48];
    const rows = differences.map((d, i) => {
      const low = 50 - Math.floor(d / 2);
      return `${i + 1}\t${low}\t${low + d}`;
    });
    const page = await importPage(
      oneQuestion({
        id: "e1",
        kind: "attribute-score",
        role: "primary",
        attribute: "height",
        lowAnchor: "low",
        highAnchor: "high",
        margin: 5,
      }),
    );
    const { findings } = await imported(page, `taster\tscore_a\tscore_b\n${rows.join("\n")}`);
    const { estimate, difference } = only(findings);
    expect(difference.pValue).toBe(1726 / 32768);
    expect(estimate?.value).toBeCloseTo(20.9333, 4);
    expect(findings.headline).toBe("not-settled");
  });

  it("triangle: 15 of 30 right is p = 0.0435 and just enough", async () => {
    // P(X > 14 | 30, 1/3) = .04348228: R output in "Sequential testing in a triangle test setting",
    // blog of 6 January 2013. Critical number 15 of 30 at 5 %: FAO sensory assessment guideline
    // V7180E, Appendix A (layout of ISO 4120 Table A.1).
    const rows = Array.from({ length: 30 }, (_, i) => `T${i + 1},${i < 15 ? "yes" : "no"}`);
    const page = await importPage(
      oneQuestion({
        id: "e1",
        kind: "overall-difference",
        role: "primary",
        method: "triangle",
        margin: 0.3,
      }),
    );
    const { findings, path } = await imported(page, `taster,correct\n${rows.join("\n")}`);
    const { counts, difference } = only(findings);
    expect([counts.correct, counts.answers, difference.criticalCount]).toEqual([15, 30, 15]);
    expect(difference.pValue).toBeCloseTo(0.04348228, 8);
    const report = (await lead.get(`${path}/report`)).body;
    expect(report).toContain('class="headline">Different<');
    expect(report).toContain("15 of 30 picked the odd cup");
  });

  // R 4.2: binom.test(17, 24, 1/2, alternative = "greater") and binom.test(13, 24, 1/3, …).
  it.each([
    { endpoint: duoTrio, right: 17, pValue: 0.0319573283195496 },
    { endpoint: tetrad, right: 13, pValue: 0.0284411280954688 },
    { endpoint: brightest, right: 13, pValue: 0.0284411280954688 },
  ])(
    "$endpoint.kind, $endpoint.method: $right right of 24",
    async ({ endpoint, right, pValue }) => {
      const rows = Array.from({ length: 24 }, (_, i) => `T${i + 1},${i < right ? "yes" : "no"}`);
      const page = await importPage(oneQuestion(endpoint));
      const { findings } = await imported(page, `taster,correct\n${rows.join("\n")}`);
      const { counts, difference } = only(findings);
      expect([counts.correct, counts.answers, difference.criticalCount]).toEqual([
        right,
        24,
        right,
      ]);
      expect(difference.pValue).toBeCloseTo(pValue, 13);
    },
  );

  it("paired comparison: 13 of 15 one way is p = 0.0074, two-sided", async () => {
    // Sign test on Darwin's maize (Darwin 1876; Fisher 1935): 2 P(X ≥ 13 | 15, 1/2) = 242/32768.
    const rows = Array.from({ length: 15 }, (_, i) => `${i + 1},${i < 13 ? "b" : "A"}`);
    const page = await importPage(
      oneQuestion({ id: "e1", kind: "preference", role: "primary", margin: 0.3 }),
    );
    const { findings } = await imported(page, `Taster,Chosen\n${rows.join("\n")}`);
    const { counts, difference } = only(findings);
    expect([counts.pickedA, counts.pickedB]).toEqual([2, 13]);
    expect(difference.pValue).toBe(242 / 32768);
  });
});

describe("An outside panel's file", () => {
  const heading = "taster,coffee,pair,repeat,question,chosen,correct,score_a,score_b";
  const good = [
    heading,
    "Ana,Sallow,1,1,odd cup,,yes,,",
    "Ana,Sallow,1,1,more bright,Minerals into the pot,,,",
    "Ana,Sallow,1,1,sourness,,,40,55",
    "Ana,Bramble,1,1,e3,A,,,",
    "Ben,Cinder,2,1,odd cup,,0,,",
  ].join("\n");

  it("is shown before anything is stored, and kept without the tasters' names", async () => {
    const page = await importPage();
    await lead.get(page);
    const checked = await lead.post(page, { ...session, sheet: good, act: "check" });
    expect(checked.body).toContain("5 answers of 2 tasters");
    const stored = await lead.post(page, { ...session, sheet: good, act: "store" });
    const path = stored.headers.location ?? "";
    const { body } = await lead.get(`${path}/report/ballots.csv`);
    expect(body).not.toMatch(/Ana|Ben/);
    const data = await house.deps.store.selectFrom("imported_panels").selectAll().execute();
    expect(JSON.stringify(data)).not.toMatch(/Ana|Ben/);
    expect(body.split("\r\n").filter((line) => line.startsWith("t1,"))).toHaveLength(3 + 4 + 2);
  });

  it.each<[string, string, string]>([
    [
      "an unknown coffee",
      "Ana,Ember,1,1,odd cup,,yes,,",
      "Row 2, coffee:</strong> The plan has no coffee “Ember”",
    ],
    [
      "no taster",
      ",Sallow,1,1,odd cup,,yes,,",
      "Row 2, taster:</strong> Name or number the taster",
    ],
    ["a pair beyond ten", "Ana,Sallow,11,1,odd cup,,yes,,", "Row 2, pair:</strong>"],
    [
      "an unknown question",
      "Ana,Sallow,1,1,crema,,yes,,",
      "Row 2, question:</strong> The plan doesn&#x27;t ask “crema”",
    ],
    [
      "an answer that is none",
      "Ana,Sallow,1,1,odd cup,,maybe,,",
      "Row 2, correct:</strong> Say yes or no",
    ],
    [
      "a pick of neither",
      "Ana,Sallow,1,1,liked better,C,,,",
      "Row 2, chosen:</strong> Name the treatment",
    ],
    [
      "“can't tell” under a plan without it",
      "Ana,Sallow,1,1,liked better,can't tell,,,",
      "Row 2, chosen:</strong> The plan doesn&#x27;t allow",
    ],
    [
      "half a score",
      "Ana,Sallow,1,1,sourness,,,40,",
      "Row 2, score_b:</strong> Give whole points from 0 to 100",
    ],
    [
      "a score in halves",
      "Ana,Sallow,1,1,sourness,,,40.5,20",
      "Row 2, score_a:</strong> Give whole points",
    ],
    [
      "an answer under another column",
      "Ana,Sallow,1,1,odd cup,A,yes,,",
      "Row 2, chosen:</strong> This question is answered under correct",
    ],
    [
      "the same answer twice",
      "Ana,Sallow,,,odd cup,,yes,,\nAna,Sallow,1,1,odd cup,,no,,",
      "Row 3, taster:</strong> Row 2 holds this taster",
    ],
  ])("is refused whole with %s, at its cell", async (_what, row, message) => {
    const page = await importPage();
    await lead.get(page);
    const before = await house.deps.store.selectFrom("sessions").select("id").execute();
    const sheet = `${heading}\n${row}\nBen,Sallow,1,1,odd cup,,yes,,`;
    const answer = await lead.post(page, { ...session, sheet, act: "store" });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain(message);
    expect(answer.body).toContain("Ben,Sallow,1,1,odd cup,,yes,,");
    expect(await house.deps.store.selectFrom("sessions").select("id").execute()).toEqual(before);
  });

  it.each([
    ["taster,aroma\n1,2", "Row 1, aroma"],
    ["nothing at all", "the first row must name the columns"],
    ["", "the first row must name the columns"],
    [heading, "There is no answer below the heading"],
    ['taster,"chosen\n1', "can&#x27;t be read as CSV"],
    [`${heading}\n${"x".repeat(900_001)}`, "import it in parts"],
  ])("is refused when it is no table of answers (%#)", async (sheet, message) => {
    const page = await importPage();
    await lead.get(page);
    const answer = await lead.post(page, { ...session, sheet, act: "check" });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain(message);
  });

  it("keeps what was typed when the session has no name or a date that is none", async () => {
    const page = await importPage();
    await lead.get(page);
    const answer = await lead.post(page, {
      sessionName: " ",
      heldOn: "last Friday",
      sheet: good,
      act: "store",
    });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain("Name the session");
    expect(answer.body).toContain("Give the date as year-month-day");
    expect(answer.body).toContain("Ana,Bramble,1,1,e3,A,,,");
  });

  it("waits for a complete plan", async () => {
    const page = await importPage({ question: "" });
    expect((await lead.get(page)).statusCode).toBe(409);
  });

  it("is for leads only", async () => {
    const page = await importPage();
    const answer = await house.visitor().get(page);
    expect([answer.statusCode, answer.headers.location]).toEqual([
      303,
      `/sign-in?next=${encodeURIComponent(page)}`,
    ]);
  });
});

describe("An imported session", () => {
  let path: string;
  let findings: Findings;
  beforeAll(async () => {
    const page = await importPage(
      oneQuestion({ id: "e1", kind: "preference", role: "primary", margin: 0.3 }),
    );
    const rows = Array.from({ length: 30 }, (_, i) => `${i + 1},${i < 24 ? "B" : "A"}`);
    ({ path, findings } = await imported(page, `taster,chosen\n${rows.join("\n")}`));
  });

  it("says everywhere that it was not blinded here", async () => {
    expect((await lead.get(path)).body).toContain("imported, not blinded here");
    const report = (await lead.get(`${path}/report`)).body;
    expect(report).toContain('<p class="caution">Not blinded here.');
    expect(report).toContain("<li>Not blinded here: an outside panel gave these answers.");
    expect(report).not.toContain("sealed before the first cup: questions");
    expect(report).not.toContain("Commitment to the key");
    expect(report).not.toMatch(/ouble-blind/);
    expect((await lead.get(`${path}/report/report.html`)).body).toContain("Not blinded here.");
    expect(findings.conduct.blinding).toBe("not-blinded-here");
    const zip = unzipSync((await lead.get(`${path}/report/package.zip`)).rawPayload);
    expect(strFromU8(zip["README.md"] ?? new Uint8Array())).toContain("Not blinded here");
  });

  it("claims nothing about serving positions, which nobody here knows", () => {
    expect(findings.positions).toEqual([]);
  });

  it("is not blamed for what the plan would have had brewed and served", () => {
    expect(findings.faults).toEqual([]);
  });

  it("has no key to show, no kit to print and no seat to take", async () => {
    for (const page of ["key", "key.json", "report/session.json"]) {
      expect([page, (await lead.get(`${path}/${page}`)).statusCode]).toEqual([page, 404]);
    }
    for (const page of ["links", "room", "brews", "report/brews.csv"]) {
      expect([page, (await lead.get(`${path}/${page}`)).statusCode]).toEqual([page, 200]);
    }
  });

  it("verifies, and shows an answer that was changed behind the program's back", async () => {
    const failed = async () =>
      (await verifyStore(house.deps.store)).flatMap(({ checks }) =>
        checks.filter(({ ok }) => !ok).map(({ what }) => what),
      );
    expect(await failed()).toEqual([]);
    await expect(
      house.deps.store.updateTable("imported_panels").set({ evidence_json: "{}" }).execute(),
    ).rejects.toThrow("imported answers cannot be changed");
    const row = await house.deps.store
      .selectFrom("imported_panels")
      .selectAll()
      .where("session_id", "=", path.split("/")[3] ?? "")
      .executeTakeFirstOrThrow();
    await house.deps.store
      .deleteFrom("imported_panels")
      .where("session_id", "=", row.session_id)
      .execute();
    const moved = row.evidence_json.replace('"chosen":"101"', '"chosen":"102"');
    expect(moved).not.toBe(row.evidence_json);
    await house.deps.store
      .insertInto("imported_panels")
      .values({ ...row, evidence_json: moved })
      .execute();
    expect(await failed()).toEqual(["The answers are as the log has them"]);
  });
});
