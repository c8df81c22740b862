import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { otherMethods } from "../../src/report/planning/other-methods.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { brightest } from "../report/sessions.ts";
import { openSession, otherMethods as otherPlans } from "../sealed-session.ts";

const plansByOtherMethods = [...otherPlans, { name: "3-AFC", endpoints: [brightest] }];

describe("The panel-size page", () => {
  let house: House;
  let lead: Visitor;
  beforeAll(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterAll(() => house.close());

  const once = { coffees: "1", brewPairsPerCoffee: "1", replicates: "1" };
  const ask = async (form: Record<string, string>) => {
    const { body, statusCode } = await lead.get(`/lead/panel?${new URLSearchParams(form)}`);
    return {
      status: statusCode,
      body,
      text: textOf(body),
      panels: panelsIn(body.replaceAll("\u00a0", " ")),
    };
  };

  it("is for leads, in the navigation and beside a plan's outlook", async () => {
    expect((await house.visitor().get("/lead/panel")).statusCode).toBe(303);
    expect((await lead.get("/lead")).body).toContain('<a href="/lead/panel">Panel size</a>');
    const { experimentId } = await openSession(house);
    const plan = await lead.get(`/lead/experiments/${experimentId}`);
    const [, link = ""] = /href="(\/lead\/panel\?[^"]*)"/.exec(plan.body) ?? [];
    const panel = await lead.get(asRead(link));
    expect(panel.statusCode).toBe(200);
    expect(panel.body).toContain('aria-current="true">Can anyone tell them apart?');
    expect(panel.body).toMatch(/name="coffees" value="3"/);
  });

  it.each(plansByOtherMethods)(
    "is not linked to from a plan by $name, which it can't plan",
    async ({ endpoints }) => {
      const { experimentId } = await openSession(house, { endpoints });
      const plan = await lead.get(`/lead/experiments/${experimentId}`);
      expect(plan.body).toContain("What this can and can’t find");
      expect(plan.body).not.toContain("/lead/panel?");
    },
  );

  it("says what other methods would take to find as much as a triangle does", async () => {
    const { needed = [], dPrime = 0 } = otherMethods(0.3, { alpha: 0.05, power: 0.8 }) ?? {};
    const { text } = await ask({ question: "apart", noticing: "30", ...once });
    expect(text).toContain(`is d′ ${dPrime.toFixed(2)}`);
    const [, tetrad, duoTrio] = needed;
    expect(text).toMatch(new RegExp(`Tetrad: two groups of two\\s*${tetrad?.answers}\\s*4\\s`));
    expect(text).toMatch(new RegExp(`Duo-trio: match a reference\\s*${duoTrio?.answers}\\s*3\\s`));
    const pairs = await ask({ question: "more", attribute: "brightness", pickRate: "65", ...once });
    expect(pairs.text).not.toContain("by other methods");
  });

  it("proposes a method for each plain question, its trade name beside it", async () => {
    const proposed = {
      apart: "triangle test, one-sided (ISO 4120)",
      more: "paired comparison, 2-AFC (ISO 5495)",
      liked: "paired preference, always two-sided (ISO 5495)",
      scores: "line scale with paired scores (ISO 4121)",
      same: "triangle test for similarity (ISO 4120)",
      yield: "two one-sided t tests (TOST) on brew pairs",
    };
    for (const [question, tradeName] of Object.entries(proposed)) {
      const { status, text } = await ask({ question });
      expect([question, status]).toEqual([question, 200]);
      expect(text).toContain(tradeName);
    }
  });

  describe("says how many it takes", () => {
    // ISO 4120:2004 table A.3, from memory: 16, 23, 40, 87. Stable sizes by exact binomial (scipy).
    it.each([
      { noticing: "50", smallest: 16, stable: 16 },
      { noticing: "40", smallest: 23, stable: 25 },
      { noticing: "30", smallest: 40, stable: 42 },
      { noticing: "20", smallest: 87, stable: 94 },
    ])("$noticing % who notice: $smallest triangles, surely $stable", async (size) => {
      const { panels } = await ask({ question: "apart", noticing: size.noticing, ...once });
      expect(panels.smallest?.units).toBe(size.smallest);
      expect(panels.stable?.units).toBe(size.stable);
    });

    // Exact binomial (scipy); 23, 35, 54, 97, 210 are planning numbers of the trade, no source.
    it.each([
      { pickRate: "80", smallest: 20, stable: 23 },
      { pickRate: "75", smallest: 30, stable: 35 },
      { pickRate: "70", smallest: 49, stable: 54 },
      { pickRate: "65", smallest: 90, stable: 97 },
      { pickRate: "60", smallest: 199, stable: 210 },
    ])("$pickRate % of picks: $smallest pairs, surely $stable", async (size) => {
      for (const question of ["liked", "more"]) {
        const { panels } = await ask({ question, pickRate: size.pickRate, ...once });
        expect([panels.smallest?.units, panels.stable?.units]).toEqual([
          size.smallest,
          size.stable,
        ]);
      }
    });

    it("54 triangles with at most 22 right for 90 % at a margin of 30 %, surely 58", async () => {
      // 54 and 22: ISO 4120:2004 B.3 by exact binomial. At 57 the chance is under 90 % once more.
      const { panels } = await ask({ question: "same", noticing: "30", power: "0.9", ...once });
      expect(panels.smallest).toMatchObject({ units: 54, count: "22", chance: "90.1 %" });
      expect(panels.stable?.units).toBe(58);
      const later = await ask({ question: "same", tasters: "57", power: "0.9", ...once });
      expect(Number.parseFloat(later.panels.have?.chance ?? "")).toBeLessThan(90);
    });

    it("12 triangles pass with at most 3 right, identical cups 39 % of the time", async () => {
      const { panels, text } = await ask({ question: "same", tasters: "12", ...once });
      expect(panels.have).toMatchObject({ count: "3", chance: "39.3 %" });
      expect(text).toContain("Truly identical coffees pass as close enough");
    });

    it("8 brew pairs for yields within ±0.5 points at SD 0.4", async () => {
      const { panels } = await ask({ question: "yield", yieldPoints: "0,5", yieldSpread: "0,4" });
      expect(panels.smallest).toMatchObject({ units: 8, chance: "87.2 %" });
    });

    it("11, not 10, at SD 0.5: ten pass 79.5 % of the time, just short of 80 %", async () => {
      const { panels } = await ask({
        question: "yield",
        yieldPoints: "0.5",
        yieldSpread: "0.5",
        coffees: "5",
        brewPairsPerCoffee: "2",
      });
      expect(panels.have).toMatchObject({ units: 10, chance: "79.5 %" });
      expect(panels.smallest).toMatchObject({ units: 11, chance: "84.8 %" });
    });

    it("34 scorers for half a standard deviation (Cohen 1988, table 2.4.1 by noncentral t)", async () => {
      const { panels } = await ask({ question: "scores", points: "7.5", spread: "15" });
      expect(panels.smallest?.units).toBe(34);
    });
  });

  describe("says what the panel at hand can and cannot show", () => {
    it("closeness on one coffee and on all five, where 54 identical triangles pass 90 % and 59 %", async () => {
      const { text } = await ask({
        question: "same",
        noticing: "30",
        tasters: "54",
        ...once,
        coffees: "5",
      });
      expect(text).toContain("90.1 % of the time on one coffee, and 59.5 % on all 5 at once");
    });

    it("never a claim about the process under 6 brew pairs", async () => {
      const few = await ask({ question: "more", coffees: "5", brewPairsPerCoffee: "1" });
      // 2/2^5.
      expect(few.text).toContain("5 brew pairs can never carry a claim about the process");
      expect(few.text).toContain("the smallest possible p is 0.063. Plan at least 6.");
      const enough = await ask({ question: "more", coffees: "3", brewPairsPerCoffee: "2" });
      expect(enough.text).toContain("6 brew pairs can carry a claim about the process");
      expect(enough.text).toContain("the smallest possible p is 0.031.");
    });

    it("triangles and the process: only beside hidden pairs made alike", async () => {
      expect((await ask({ question: "apart" })).text).toContain("No claim about the process");
      const { text } = await ask({ question: "apart", controlPairsPerCoffee: "1" });
      // Three coffees, three ways each to place the control label: 1/27.
      expect(text).toContain("6 brew pairs beside 3 control pairs can carry a claim");
      expect(text).toContain("the smallest possible p is 0.037.");
    });

    it("nothing at all with five preferences", async () => {
      const { panels, text } = await ask({ question: "liked", tasters: "5", ...once });
      expect(panels.have).toMatchObject({ count: "–", chance: "0 %" });
      expect(text).toContain("Nothing, however large, would be found 80 % of the time.");
    });

    it("that repeats are not new people", async () => {
      const { text } = await ask({ question: "apart", tasters: "4", replicates: "3" });
      expect(text).toContain("the same people notice every time and the others guess");
      const same = await ask({ question: "same", tasters: "8", replicates: "8" });
      // (1 − 0.3)^8 = 0.058: eight people may hold none of 30 % by luck alone.
      expect(same.panels.have).toMatchObject({ count: "–", chance: "0 %" });
    });

    it("the chance over the truth as a curve, with the same numbers as a table", async () => {
      const { body, text } = await ask({ question: "apart", tasters: "36", ...once });
      expect(body).toMatch(/<svg[^>]*aria-label="chance that it is found/);
      expect(body).not.toMatch(/<style|style=/);
      // 36 triangles find 30 % of people with 0.7155, 50 % with 0.9875 (scipy, to 1e-12).
      expect(text).toMatch(/30 71\.5 %/);
      expect(text).toMatch(/50 98\.7 %/);
    });
  });

  describe("loses nothing", () => {
    it("says at the field what is wrong and keeps what was typed", async () => {
      const { body, status } = await ask({
        question: "more",
        pickRate: "0.7",
        tasters: "a dozen",
        alpha: "5",
        attribute: `"bright" <er>`,
        noticing: "25",
      });
      expect(status).toBe(422);
      expect(body).toMatch(/id="pickRate-error">.*51 to 99/);
      expect(body).toMatch(/id="tasters-error">.*whole number/);
      expect(body).toMatch(/id="alpha-error">.*0\.05 is 5 %/);
      expect(body).toContain('href="#tasters"');
      expect(body).toContain('value="a dozen"');
      expect(body).toContain("&quot;bright&quot; &lt;er&gt;");
      expect(body).toContain('<input type="hidden" name="noticing" value="25">');
      expect(body).not.toContain("What your panel can and can’t show");
    });

    it("takes no question that it doesn't know, nor an empty number", async () => {
      const unknown = await ask({ question: "best" });
      expect(unknown.status).toBe(422);
      expect(unknown.text).toContain("Choose one of the questions below");
      const empty = await ask({ question: "apart", noticing: "" });
      expect(empty.body).toMatch(/id="noticing-error">.*1 to 99/);
    });

    it("reads a decimal comma, and carries every number to another question", async () => {
      const { body, status } = await ask({ question: "apart", noticing: "12,5", tasters: "31" });
      expect(status).toBe(200);
      expect(body.match(/<button name="question" value="[a-z]+" formaction/g)).toHaveLength(6);
      const other = await ask({ question: "yield", noticing: "12,5", tasters: "31" });
      expect(other.body).toContain('<input type="hidden" name="noticing" value="12,5">');
      expect(other.body).toContain('<input type="hidden" name="tasters" value="31">');
    });

    it("answers the widest numbers that it takes in good time", async () => {
      const most = { tasters: "300", coffees: "12", brewPairsPerCoffee: "10", replicates: "8" };
      const widest = [
        { question: "apart", noticing: "1" },
        { question: "same", noticing: "99", alpha: "0.0001", power: "0.99" },
        { question: "liked", pickRate: "51" },
        { question: "scores", points: "0.5", spread: "100" },
        { question: "scores", points: "100", spread: "0.5" },
        { question: "yield", yieldPoints: "10", yieldSpread: "0.01" },
      ];
      for (const form of widest) {
        expect((await ask(form)).status).toBe(200);
        const { status, text } = await ask({ ...form, ...most });
        expect([form, status]).toEqual([form, 200]);
        expect(text).not.toMatch(/NaN|Infinity|undefined/);
      }
    }, 30_000);
  });

  describe("starts a plan with its numbers", () => {
    const planLinks = (body: string) =>
      [...body.matchAll(/<a class="button[^"]*" href="([^"]*)"/g)].map(([, link = ""]) =>
        asRead(link),
      );

    it("as proposed, or with what there is", async () => {
      const { body } = await ask({
        question: "more",
        attribute: "brightness",
        pickRate: "70",
        tasters: "12",
        ...once,
        coffees: "2",
      });
      const [proposed = "", own = ""] = planLinks(body);
      // Two answers each: 0.792 with 28 tasters and 0.810 with 29, in exact fractions.
      const plan = await lead.get(proposed);
      expect(plan.body).toMatch(/name="tasters" value="29"/);
      expect(plan.body).toMatch(/name="direction\.0\.attribute" value="brightness"/);
      expect(plan.body).toMatch(/name="direction\.0\.margin" value="40"/);
      expect(plan.body).toContain("Coffee 1\nCoffee 2");
      expect((await lead.get(own)).body).toMatch(/name="tasters" value="12"/);
    });

    it("that a lead can save and seal once it has its words", async () => {
      for (const question of ["apart", "more", "liked", "scores", "same", "yield"]) {
        const { body } = await ask({ question, attribute: "sweetness" });
        const form = fieldsIn((await lead.get(planLinks(body).at(-1) ?? "")).body);
        const words = {
          title: question,
          question: "Does rest matter?",
          "treatments.A.name": "Seven days",
          "treatments.B.name": "Ten days",
          "score.0.lowAnchor": "none",
          "score.0.highAnchor": "very",
        };
        const saved = await lead.post("/lead/experiments", { ...form, ...words });
        expect([question, saved.statusCode]).toEqual([question, 303]);
      }
    });
  });
});

/** A link as a browser reads it. */
function asRead(html: string): string {
  return html.replaceAll("&amp;", "&").replaceAll("&#x3D;", "=");
}

function textOf(html: string): string {
  return html
    .replace(/<[^>]*>/g, " ")
    .replaceAll("&#x27;", "'")
    .replace(/\s+/g, " ");
}

/** The table of panels: smallest, stable and what there is. */
function panelsIn(body: string) {
  const [, table = ""] = /aria-label="Panels compared">([\s\S]*?)<\/table>/.exec(body) ?? [];
  const rows = [...table.matchAll(/<tr>(.*?)<\/tr>/g)].map(([, row = ""]) =>
    [...row.matchAll(/<t[hd][^>]*>(.*?)<\/t[hd]>/g)].map(([, cell = ""]) => cell),
  );
  const panel = (name: string) => {
    const row = rows.find(([first]) => first === name);
    return row && { units: Number(row[1]), count: row.at(-2), chance: row.at(-1) };
  };
  return {
    smallest: panel("Smallest"),
    stable: panel("Stable"),
    have: panel("Yours"),
  };
}

/** What a browser would send of the plan form as it stands. */
function fieldsIn(body: string): Record<string, string> {
  const [form = ""] = /<form[^>]*class="plan-form"[\s\S]*?<\/form>/.exec(body) ?? [];
  const inputs = [...form.matchAll(/<input id="[^"]*" name="([^"]*)" value="([^"]*)"/g)];
  const areas = [...form.matchAll(/<textarea[^>]*name="([^"]*)"[^>]*>([^<]*)</g)];
  const selects = [...form.matchAll(/<select[^>]*name="([^"]*)"[\s\S]*?<\/select>/g)].map(
    ([select, name]) => ["", name, /value="([^"]*)" selected/.exec(select)?.[1] ?? ""],
  );
  return Object.fromEntries(
    [...inputs, ...areas, ...selects].map(([, name = "", value = ""]) => [name, value]),
  );
}
