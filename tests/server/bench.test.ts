import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";
import { type House, openHouse } from "../app.ts";

describe("The bench", () => {
  let house: House;
  beforeAll(async () => {
    house = await openHouse();
  });
  afterAll(() => house.close());

  const compute = async (name: string, form: Record<string, string>) => {
    const visitor = house.visitor();
    await visitor.get(`/bench/${name}`);
    return await visitor.post(`/bench/${name}`, form);
  };

  it("lists every calculator once, by the job it is for", async () => {
    const { body, statusCode } = await house.visitor().get("/bench");
    const linked = [...body.matchAll(/href="\/bench\/([a-z-]+)"/g)].map(([, name]) => name);
    expect(statusCode).toBe(200);
    expect(linked.toSorted()).toEqual([...calculators.keys()].toSorted());
  });

  it("shows a form for every calculator, with its defaults in place", async () => {
    for (const name of calculators.keys()) {
      const { body, statusCode } = await house.visitor().get(`/bench/${name}`);
      expect([name, statusCode]).toEqual([name, 200]);
      expect(body).toContain(`action="/bench/${name}#main"`);
    }
    const { body } = await house.visitor().get("/bench/discrimination-test");
    expect(body).toMatch(/name="alpha" value="0.05"/);
    expect(body).toMatch(/<option value="one" selected>/);
  });

  // ISO 4120:2004 table A.1: twelve triangles need eight correct at alpha 0.05.
  it("computes a discrimination test and says what it means", async () => {
    const form = { method: "triangle", sides: "one", assessments: "12", alpha: "0,05" };
    const found = await compute("discrimination-test", { ...form, correct: "8" });
    expect(found.statusCode).toBe(200);
    expect(found.body).toContain("these cups can be told apart");
    expect(found.body).toMatch(/Fewest correct for a difference<\/th><td>8</);
    const open = await compute("discrimination-test", { ...form, correct: "4" });
    expect(open.body).toContain("It does not show that the cups are the same");
    expect(open.body).toContain("8 correct are needed");
  });

  it("shows a share of tasters clamped to 0 and says so", async () => {
    const { body } = await compute("discrimination-test", {
      method: "triangle",
      assessments: "12",
      correct: "2",
    });
    expect(body).toMatch(/Share who can tell \(pd\)<\/th><td>0 \[computed −0\.25\]/);
  });

  it("answers a link that carries the values", async () => {
    const { body, statusCode } = await house
      .visitor()
      .get("/bench/discrimination-test?method=triangle&assessments=12&correct=8");
    expect(statusCode).toBe(200);
    expect(body).toContain("these cups can be told apart");
  });

  it("says at the field what is wrong and keeps everything typed", async () => {
    const { body, statusCode } = await compute("discrimination-test", {
      method: "duo-trio",
      assessments: "twelve",
      correct: "7",
      alpha: "0.1",
    });
    expect(statusCode).toBe(422);
    expect(body).toMatch(/id="assessments-error">.*whole number/);
    expect(body).toContain('href="#assessments"');
    expect(body).toMatch(/name="assessments" value="twelve"/);
    expect(body).toMatch(/name="correct" value="7"/);
    expect(body).toMatch(/name="alpha" value="0.1"/);
    expect(body).toMatch(/<option value="duo-trio" selected>/);
  });

  it("speaks of fields by the words on the form", async () => {
    const { body } = await compute("panel-size", {
      method: "triangle",
      goal: "difference",
      power: "0.8",
    });
    expect(body).toContain("exactly one of “Share who can tell (pd)” and “d′”");
  });

  it("puts a calculator's warnings above its numbers", async () => {
    const { body } = await compute("water-properties", { "ions.calcium": "5000" });
    const warning = body.indexOf('<p class="caution">', body.indexOf('id="result"'));
    expect(warning).toBeGreaterThan(0);
    expect(warning).toBeLessThan(body.indexOf("Total hardness"));
  });

  it("reads rows as people paste them, and names the line that is wrong", async () => {
    const tidy = await compute("across-coffees", {
      method: "triangle",
      coffees: "Label;Correct answers;Answers in all\nSallow dark; 8; 12\r\n\nPetrel; 4; 12\n",
    });
    expect(tidy.statusCode).toBe(200);
    expect(tidy.body).toContain("<td>Sallow dark</td>");
    const pasted = await compute("across-coffees", {
      method: "triangle",
      coffees: "Sallow dark\t8\t12\nPetrel\t4\t12",
    });
    expect(partsOf(pasted.body)).toBe(partsOf(tidy.body));
    const wrong = await compute("across-coffees", {
      method: "triangle",
      coffees: "Sallow; 8; 12\n\nPetrel; many; 12",
    });
    expect(wrong.statusCode).toBe(422);
    expect(wrong.body).toMatch(/id="coffees-error">.*Line 3: /);
    expect(wrong.body).toContain("Petrel; many; 12");
    const crowded = await compute("across-coffees", {
      method: "triangle",
      coffees: "Sallow dark roast 8 12",
    });
    expect(crowded.body).toMatch(/id="coffees-error">.*Line 1 has 5 values/);
  });

  it("reads numbers one a line or parted by spaces, pairs a line each, or JSON", async () => {
    const answers = await Promise.all(
      ["1.5\n2,5\n4", "1,5 2,5 4", "[1.5, 2.5, 4]"].map((values) =>
        compute("describe", { values }),
      ),
    );
    expect(new Set(answers.map(({ body }) => partsOf(body))).size).toBe(1);
    const pairs = await Promise.all(
      ["7 5\n6 6\n8 5", "7; 5\n6; 6\n8; 5", "7\t5\n6\t6\n8\t5", "7,5\n6,6\n8,5"].map((typed) =>
        compute("paired-scores", { pairs: typed }),
      ),
    );
    expect(pairs.map(({ statusCode }) => statusCode)).toEqual([200, 200, 200, 200]);
    expect(new Set(pairs.map(({ body }) => partsOf(body))).size).toBe(1);
    const broken = await compute("describe", { values: "[1, 2" });
    expect(broken.body).toMatch(/id="values-error">.*This is no JSON/);
  });

  it("gathers the fields of an object", async () => {
    const { body, statusCode } = await compute("water-properties", {
      "ions.calcium": "40",
      "ions.bicarbonate": "122",
    });
    expect(statusCode).toBe(200);
    expect(body).toContain(
      "{&quot;ions&quot;:{&quot;calcium&quot;:40,&quot;bicarbonate&quot;:122}}",
    );
    const wrong = await compute("water-properties", { "ions.calcium": "much" });
    expect(wrong.body).toContain('id="ions.calcium-error"');
  });

  it("answers an unknown calculator with the nearest name, and a forged form with refusal", async () => {
    const unknown = await house.visitor().get("/bench/panel-sise");
    expect(unknown.statusCode).toBe(404);
    expect(unknown.body).toContain("Did you mean panel-size?");
    const forged = await house.visitor().post("/bench/describe", { values: "1" });
    expect(forged.statusCode).toBe(403);
  });
});

/** The readable part of a result, without the input as JSON. */
function partsOf(body: string): string {
  return /<section class="card" id="result".*?<details>/s.exec(body)?.[0] ?? "no result";
}
