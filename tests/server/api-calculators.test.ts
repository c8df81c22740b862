import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";
import { type House, openHouse } from "../app.ts";
import { run } from "../commands/terminal.ts";

const triangles = { method: "triangle", assessments: 12, correct: 8 };

describe("POST /api/v1/calculators/NAME", () => {
  let house: House;
  beforeAll(async () => {
    house = await openHouse();
  });
  afterAll(() => house.close());

  const post = (name: string, payload: string, type = "application/json") =>
    house.app.inject({
      method: "POST",
      url: `/api/v1/calculators/${name}`,
      payload,
      headers: { "content-type": type },
    });

  it("answers what the command line answers, digit by digit", async () => {
    const text = JSON.stringify(triangles);
    const answer = await post("discrimination-test", text);
    expect(answer.statusCode).toBe(200);
    expect(answer.headers["content-type"]).toContain("application/json");
    expect(`${answer.body}\n`).toBe((await run(["calc", "discrimination-test"], text)).out);
  });

  it("refuses bad input with 422 and the command line's body", async () => {
    for (const text of [
      JSON.stringify({ ...triangles, correct: 13 }),
      JSON.stringify({ ...triangles, taste: "nice" }),
      "[]",
      "null",
      '"triangle"',
      "{",
      "",
    ]) {
      const answer = await post("discrimination-test", text);
      expect([text, answer.statusCode]).toEqual([text, 422]);
      expect(`${answer.body}\n`).toBe((await run(["calc", "discrimination-test"], text)).err);
    }
    expect((await post("describe", "{")).json().error.code).toBe("invalid-json");
  });

  it("answers an unknown name with 404, the nearest name and the command line's body", async () => {
    const answer = await post("triangel", "{}");
    expect(answer.statusCode).toBe(404);
    expect(answer.json().error.code).toBe("unknown-calculator");
    expect(`${answer.body}\n`).toBe((await run(["calc", "triangel"], "{}")).err);
  });

  it("reads the body as JSON whatever a client calls it", async () => {
    const text = JSON.stringify(triangles);
    for (const type of ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"]) {
      expect((await post("discrimination-test", text, type)).statusCode).toBe(200);
    }
  });

  // RFC 8259, 8.1: a parser may ignore a byte-order mark.
  it("reads a body that begins with a byte-order mark", async () => {
    const answer = await post("discrimination-test", `\uFEFF${JSON.stringify(triangles)}`);
    expect([answer.statusCode, answer.json().criticalCount]).toEqual([200, 8]);
  });

  it("refuses a body over the limit with 413", async () => {
    const answer = await post("describe", `{"values":[${"1,".repeat(600_000)}1]}`);
    expect([answer.statusCode, answer.json().error.code]).toEqual([413, "http-413"]);
  });

  it("lists the calculators and shows each one's schemas", async () => {
    const list = await house.app.inject("/api/v1/calculators");
    const names = list.json().calculators.map((entry: { name: string }) => entry.name);
    expect(names).toEqual([...calculators.keys()]);
    for (const name of names) {
      const answer = await house.app.inject(`/api/v1/calculators/${name}`);
      const printed = await run(["calc", name, "--schema"]);
      expect(answer.json()).toEqual(JSON.parse(printed.out));
    }
    expect((await house.app.inject("/api/v1/calculators/triangel")).statusCode).toBe(404);
  });

  it("needs no sign-in and sets no cookie", async () => {
    const answer = await post("discrimination-test", JSON.stringify(triangles));
    expect(answer.cookies).toEqual([]);
  });
});

describe("The rate of calculations", () => {
  it("lets a script through and stops a runaway loop", async () => {
    const house = await openHouse();
    const codes = new Map<number, number>();
    for (let call = 0; call < 1_210; call += 1) {
      const name = call % 2 === 0 ? "describe" : "adjust-p";
      const { statusCode } = await house.app.inject({
        method: "POST",
        url: `/api/v1/calculators/${name}`,
        payload: "{}",
      });
      codes.set(statusCode, (codes.get(statusCode) ?? 0) + 1);
    }
    await house.close();
    expect(Object.fromEntries(codes)).toEqual({ 422: 1_200, 429: 10 });
  });
});
