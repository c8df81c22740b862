import { describe, expect, it } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";

const messagesOf = (name: string, input: unknown) => {
  const outcome = calculators.get(name)?.run(input);
  if (!outcome || outcome.ok) throw new Error(`${name} should refuse this`);
  return outcome.issues;
};

const match = {
  doseGrams: 26,
  brewWaterGrams: 390,
  beverageGrams: 336,
  doseMillilitres: 6.72,
  salts: [{ salt: "sodium-chloride", milligramsPerLitre: 50 }],
};

describe("what a refusal says where a schema has no words of its own", () => {
  it("names the fields of an object that is missing or is none", () => {
    const fields = "Give an object with these fields: values.";
    for (const input of [null, 3, "text", [1]]) {
      expect(messagesOf("describe", input)).toEqual([{ path: [], message: fields }]);
    }
    expect(messagesOf("water-properties", {})).toEqual([
      {
        path: ["ions"],
        message:
          "Give an object with these fields: calcium, magnesium, sodium, potassium, " +
          "bicarbonate, chloride, sulfate, citrate.",
      },
    ]);
  });

  it("points at every unknown field and names the known ones", () => {
    const message = "There is no field of this name; the fields are values.";
    expect(messagesOf("describe", { values: [1], mean: 1, n: 1 })).toEqual([
      { path: ["mean"], message },
      { path: ["n"], message },
    ]);
    const many = Object.fromEntries(Array.from({ length: 5000 }, (_, i) => [`field${i}`, i]));
    expect(messagesOf("describe", { values: [1], ...many })).toHaveLength(20);
  });

  it("gives the alternatives where a field takes one of several forms", () => {
    expect(messagesOf("match-minerals", { ...match, transfer: "all" })).toEqual([
      {
        path: ["transfer"],
        message: expect.stringMatching(
          /^Give the transfer factor as a number.* Or: Give an object with these fields: calcium/,
        ),
      },
    ]);
  });

  it("asks for the field that tells the kinds of a measurement apart", () => {
    const ask = (measurement: unknown) =>
      messagesOf("water-batch-check", { ions: { calcium: 40 }, measurement });
    expect(ask({ kind: "smell" })).toEqual([
      {
        path: ["measurement", "kind"],
        message: expect.stringMatching(/^Give one of conductivity, /),
      },
    ]);
    expect(ask(undefined)).toEqual([
      {
        path: ["measurement"],
        message: "Give an object with these fields: kind and those that go with it.",
      },
    ]);
  });

  it("speaks in its own words whatever is missing or of the wrong kind, in every calculator", () => {
    const library = /^(Invalid|Unrecognized|Too (small|big)|Expected)|expected .*received/i;
    for (const [name, { input }] of calculators) {
      const fields = "shape" in input && input.shape ? Object.keys(input.shape) : [];
      expect(fields.length).toBeGreaterThan(0);
      for (const value of [undefined, null, true, "text", -1, 0.5, [], [null], {}, { x: 1 }]) {
        const wrong = Object.fromEntries(fields.map((field) => [field, value]));
        const outcome = calculators.get(name)?.run(wrong);
        for (const { message } of outcome?.ok === false ? outcome.issues : []) {
          expect(message).not.toMatch(library);
          expect(message).toMatch(/^[A-Z]/);
          expect(message).not.toMatch(/undefined|: none|are none|Give a (record|never|null)/);
        }
      }
    }
  });
});
