import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { z } from "zod";
import { calculators } from "../../src/calculators/registry.ts";
import { type House, openHouse } from "../app.ts";

const documentSchema = z.object({
  openapi: z.string(),
  info: z.object({ title: z.string(), version: z.string() }),
  paths: z.record(z.string(), z.record(z.string(), z.record(z.string(), z.unknown()))),
});
const content = z.object({
  content: z.object({
    "application/json": z.object({ schema: z.record(z.string(), z.unknown()) }),
  }),
});

describe("The OpenAPI document", () => {
  let house: House;
  beforeAll(async () => {
    house = await openHouse();
  });
  afterAll(() => house.close());

  const read = async () =>
    documentSchema.parse((await house.app.inject("/api/openapi.json")).json());

  it("is OpenAPI 3.1 and documents the JSON doors only", async () => {
    const { openapi, paths } = await read();
    expect(openapi).toMatch(/^3\.1\./);
    expect(Object.keys(paths).sort()).toEqual(
      [
        "/api/v1/calculators",
        "/api/v1/calculators/{name}",
        ...[...calculators.keys()].map((name) => `/api/v1/calculators/${name}`),
      ].sort(),
    );
  });

  it("takes every calculator's input and output from its own schemas", async () => {
    const { paths } = await read();
    for (const [name, { input, output }] of calculators) {
      const door = paths[`/api/v1/calculators/${name}`]?.post;
      const body = content.parse(door?.requestBody).content["application/json"].schema;
      const responses = z.record(z.string(), content).parse(door?.responses);
      expect(Object.keys(responses)).toEqual(["200", "422", "503"]);
      expect(body).toEqual(asDocumented(z.toJSONSchema(input, { io: "input" })));
      expect(responses["200"]?.content["application/json"].schema).toEqual(
        asDocumented(z.toJSONSchema(output, { io: "output" })),
      );
    }
  });

  it("gives every operation a name of its own", async () => {
    const { paths } = await read();
    const ids = Object.values(paths)
      .flatMap((item) => Object.values(item))
      .map((operation) => operation.operationId);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids).not.toContain(undefined);
  });
});

/** The schema as the document spells it: no dialect of its own, and a constant as an enum of one. */
function asDocumented(schema: object): object {
  return JSON.parse(JSON.stringify({ ...schema, $schema: undefined }), (_key, value) => {
    if (typeof value !== "object" || value === null || !("const" in value)) return value;
    const { const: only, ...rest } = value;
    return { ...rest, enum: [only] };
  });
}
