import { request } from "node:http";
import type { AddressInfo } from "node:net";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type House, openHouse } from "../app.ts";

const BOUNDARY = "--------evenpour";
const type = `multipart/form-data; boundary=${BOUNDARY}`;

/** A multipart body of text fields, each given as name and value. */
function bodyOf(fields: readonly (readonly [string, string])[]): string {
  const parts = fields.map(
    ([name, value]) =>
      `--${BOUNDARY}\r\ncontent-disposition: form-data; name="${name}"\r\n\r\n${value}\r\n`,
  );
  return `${parts.join("")}--${BOUNDARY}--\r\n`;
}

describe("Forms with a file are taken where a page has one, within limits", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  const post = (url: string, payload: string, cookie = "") =>
    house.app.inject({ method: "POST", url, headers: { "content-type": type, cookie }, payload });

  it("refuses them on every other page, without reading them", async () => {
    for (const url of ["/sign-in", "/enter/x", "/join/CCCCCC", "/bench/describe"]) {
      const answer = await post(url, bodyOf([["name", "Ines"]]));
      expect([url, answer.statusCode]).toEqual([url, 415]);
      expect(answer.body).toContain("<h1>");
    }
    const body = (await post("/sign-in", bodyOf([["name", "Ines"]]))).body;
    expect(body).toContain("This page takes no such form");
  });

  it("answers before the body has come: announced too large, on a page without files", async () => {
    await house.app.listen({ host: "127.0.0.1", port: 0 });
    const lengths = { "/verify": 17 * 2 ** 20, "/sign-in": 100 };
    const answers = { "/verify": 413, "/sign-in": 415 };
    for (const [path, length] of Object.entries(lengths)) {
      const status = await statusBeforeBody(house.app.server.address(), path, length);
      expect({ ...answers, [path]: status }).toEqual(answers);
    }
  });

  it("says how large a file may be: 16 MB to verify, 1 MB to import", async () => {
    const large = await post("/verify", bodyOf([["file", "x".repeat(16 * 2 ** 20)]]));
    expect([large.statusCode, large.body]).toEqual([413, expect.stringContaining("16 MB")]);
    const lead = await house.signedInLead();
    const cookie = [...lead.cookies].map(([n, v]) => `${n}=${encodeURIComponent(v)}`).join("; ");
    for (const url of ["/lead/sessions/x/brews/import", "/lead/experiments/x/import"]) {
      const answer = await post(url, bodyOf([["sheet", "x".repeat(2 ** 20)]]), cookie);
      expect([url, answer.statusCode]).toEqual([url, 413]);
      expect(answer.body).toContain("less than 1 MB");
    }
  });

  it("refuses forms of too many fields and bodies that don't say how long they are", async () => {
    const fields = Array.from({ length: 61 }, (_, place) => [`f${place}`, "x"] as const);
    const many = await post("/verify", bodyOf(fields));
    expect([many.statusCode, many.body]).toEqual([413, expect.stringContaining("too many parts")]);
    await house.app.listen({ host: "127.0.0.1", port: 0 });
    expect(await statusBeforeBody(house.app.server.address(), "/verify", null)).toBe(411);
  });
});

/** The status that a real connection gets after its headers and one byte; null length sends chunks. */
function statusBeforeBody(
  address: AddressInfo | string | null,
  path: string,
  length: number | null,
): Promise<number | undefined> {
  if (address === null || typeof address === "string") throw new Error("No port");
  const size = length === null ? {} : { "content-length": length };
  return new Promise((resolve, reject) => {
    const asking = request({
      ...{ host: "127.0.0.1", port: address.port, path, method: "POST" },
      headers: { "content-type": type, ...size },
    });
    asking.on("error", reject).on("response", (answer) => {
      resolve(answer.statusCode);
      asking.destroy();
    });
    asking.on("response", () => asking.off("error", reject).on("error", () => undefined));
    asking.write("-");
  });
}
