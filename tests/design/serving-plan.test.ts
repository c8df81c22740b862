import { describe, expect, test } from "vitest";
import { z } from "zod";
import { designCalculators } from "../../src/calculators/design.ts";
import type { SetRequest } from "../../src/design/kit.ts";
import { kitFor, plainInput } from "./kits.ts";

const [servingPlan] = designCalculators;
const counts = z.record(z.string(), z.number());
const planSchema = z.object({
  presentations: z.array(
    z.object({
      taster: z.number(),
      coffee: z.string(),
      pair: z.number(),
      replicate: z.number(),
      control: z.string().optional(),
      order: z.string(),
      cups: z.array(
        z.object({
          position: z.number(),
          code: z.string().regex(/^[1-9]\d\d$/),
          treatment: z.enum(["A", "B"]),
          reference: z.boolean().optional(),
        }),
      ),
    }),
  ),
  balance: z.object({
    sequences: z.record(z.string(), counts),
    firstTreatment: counts,
    oddPosition: counts.nullable(),
  }),
  commitment: z.string().regex(/^[0-9a-f]{64}$/),
});

const request = { method: "triangle", tasters: 12, coffees: ["Sallow", "Petrel"], seed: "spring" };

function run(input: object) {
  const outcome = servingPlan?.run(input);
  if (!outcome?.ok) throw new Error(JSON.stringify(outcome));
  expect(servingPlan?.output.safeParse(outcome.output).success).toBe(true);
  return planSchema.parse(outcome.output);
}

function issuesOf(input: object) {
  const outcome = servingPlan?.run(input);
  return outcome === undefined || outcome.ok ? [] : outcome.issues;
}

describe("serving-plan", () => {
  test("serves every taster every coffee, pair and replicate, and the hidden controls asked for", () => {
    const plan = run({ ...request, pairs: 2, replicates: 2, controls: 1 });
    const tests = plan.presentations.filter((own) => own.control === undefined);
    const controls = plan.presentations.filter((own) => own.control !== undefined);
    expect(tests).toHaveLength(12 * 2 * 2 * 2);
    expect(controls).toHaveLength(12);
    expect(controls.every((own) => new Set(own.order).size === 1)).toBe(true);
    for (const { order, cups } of plan.presentations) {
      expect(cups.map((cup) => cup.treatment).join("")).toBe(order);
      expect(cups.map((cup) => cup.position)).toEqual(cups.map((_, at) => at + 1));
    }
  });

  test("reports the balance of six triads over twelve tasters", () => {
    const { balance } = run({ ...request, controls: 1 });
    const even = { AAB: 2, ABA: 2, BAA: 2, ABB: 2, BAB: 2, BBA: 2 };
    expect(balance.sequences).toEqual({ Sallow: even, Petrel: even });
    expect(balance.firstTreatment).toEqual({ A: 12, B: 12 });
    expect(balance.oddPosition).toEqual({ "1": 8, "2": 8, "3": 8 });
  });

  test.each([
    ["tetrad", 4, null, 0],
    ["paired-comparison", 2, null, 0],
    ["ab", 2, null, 0],
    ["duo-trio", 3, ["2", "3"], 1],
    ["three-afc", 3, ["1", "2", "3"], 0],
  ])("lays out %s with %d cups", (method, cupCount, oddPlaces, references) => {
    const { presentations, balance } = run({ ...request, method });
    expect(presentations.every((own) => own.cups.length === cupCount)).toBe(true);
    expect(balance.oddPosition && Object.keys(balance.oddPosition)).toEqual(oddPlaces);
    for (const { cups } of presentations) {
      expect(cups.filter((cup) => cup.reference)).toHaveLength(references);
    }
  });

  test.each(["A", "B"])("keeps %s as the odd treatment of a 3-AFC", (oddTreatment) => {
    const { presentations } = run({ ...request, method: "three-afc", oddTreatment });
    const odd = presentations.map((own) => [...own.order].filter((t) => t === oddTreatment).length);
    expect(odd.every((count) => count === 1)).toBe(true);
  });

  test("draws the same plan from the same seed and another from another", () => {
    expect(run(request)).toEqual(run(request));
    expect(run({ ...request, seed: "autumn" }).commitment).not.toBe(run(request).commitment);
  });

  test.each([
    ["more cups in a round than codes", { tasters: 290 }, "tasters"],
    ["more pots than letters", { pairs: 11 }, "pairs"],
    ["a coffee listed twice", { coffees: ["Sallow", "Sallow"] }, "coffees"],
    ["no coffee", { coffees: [] }, "coffees"],
    ["an odd treatment outside 3-AFC", { oddTreatment: "A" }, "oddTreatment"],
    ["no taster", { tasters: 0 }, "tasters"],
    ["an unknown method", { method: "guessing" }, "method"],
    ["a seed that is no text", { seed: 7 }, "seed"],
  ])("refuses %s", (_, wrong, field) => {
    expect(issuesOf({ ...request, ...wrong }).map((issue) => issue.path[0])).toEqual([field]);
  });

  test("refuses unknown fields", () => {
    expect(issuesOf({ ...request, panel: 3 })).toHaveLength(1);
  });
});

describe("a fixed treatment", () => {
  const seeds = ["one", "two", "three", "four", "five", "six"];
  const orders = (set: SetRequest) =>
    seeds.flatMap((seed) =>
      kitFor({ ...plainInput, sets: [set] }, seed).seats.flatMap((seat) => seat.presentations),
    );

  test.each(["A", "B"] as const)("%s is every constant reference of a duo-trio", (treatment) => {
    const set: SetRequest = {
      kind: "duo-trio",
      reference: "constant",
      referenceTreatment: treatment,
    };
    expect(orders(set).every(({ cups }) => cups[0]?.treatment === treatment)).toBe(true);
    expect(orders(set).every(({ cups }) => cups[0]?.reference === true)).toBe(true);
  });

  test.each(["A", "B"] as const)("%s is every odd cup of a 3-AFC", (oddTreatment) => {
    const odd = orders({ kind: "three-afc", oddTreatment }).map(
      ({ cups, oddPosition }) => cups.find((cup) => cup.position === oddPosition)?.treatment,
    );
    expect(new Set(odd)).toEqual(new Set([oddTreatment]));
  });
});
