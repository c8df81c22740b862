import { brotliDecompressSync, gunzipSync } from "node:zlib";
import type { LightMyRequestResponse } from "fastify";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type House, openHouse } from "../app.ts";
import { examplePlan, openSession } from "../sealed-session.ts";
import { joined } from "./taster-sitting.ts";

const LIMIT_BYTES = 14 * 1024;
const COFFEES = ["Sallow", "Petrel", "Bramble", "Anvil", "Cinder", "Marsh"];

describe("The taster's pages on the wire", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  /** A page with the style sheet and script it names, headers included, as `encoding` compresses them. */
  async function weigh(
    get: (url: string) => Promise<LightMyRequestResponse>,
    url: string,
    encoding: keyof typeof decoders,
  ): Promise<number> {
    const page = await get(url);
    expect(page.headers["content-encoding"]).toBe(encoding);
    const html = decoders[encoding](page.rawPayload).toString();
    const named = [...html.matchAll(/(?:href|src)="(\/assets\/[^"]+)"/g)].map((found) => found[1]);
    expect(named).toContain("/assets/taster.css");
    const assets = await Promise.all(named.map((asset) => get(asset ?? "")));
    for (const asset of assets) expect(asset.headers["content-encoding"]).toBe(encoding);
    return [page, ...assets].reduce((total, response) => total + bytesOf(response), 0);
  }

  it.each(["br", "gzip"] as const)(
    "weigh at most 14 KB in all by %s, the sets of a sitting over six coffees included",
    async (encoding) => {
      const coffees = COFFEES.map((name, at) => ({ id: `c${at + 1}`, name, roast: "medium" }));
      const fixture = await openSession(house, {
        coffees,
        recipe: { ...examplePlan.recipe, millilitresPerCup: 10 },
        serving: { palateRestSeconds: 45, windowMinutes: 20 },
      });
      const visitor = await joined(house, fixture);
      const get = (url: string) => visitor.get(url, { "accept-encoding": encoding });
      const newcomer = house.visitor();
      const first = (url: string) => newcomer.get(url, { "accept-encoding": encoding });
      const sets = (await visitor.get("/taste")).body.match(/class="set"/g);
      expect(sets).toHaveLength(13);
      expect(await weigh(get, "/taste", encoding)).toBeLessThanOrEqual(LIMIT_BYTES);
      for (const language of ["en", "de"]) {
        const url = `/join/${fixture.joinCode}?language=${language}`;
        expect(await weigh(first, url, encoding)).toBeLessThanOrEqual(LIMIT_BYTES);
      }
    },
  );

  it("name nothing on another host and hold neither script nor style of their own", async () => {
    const fixture = await openSession(house);
    const visitor = await joined(house, fixture);
    for (const url of ["/taste", "/taste/1", "/taste/stop", "/join"]) {
      const { body } = await visitor.get(url);
      expect(body).not.toMatch(
        /https?:\/\/|<style|style=|<script(?! defer src="\/assets\/)| on\w+=/,
      );
    }
  });
});

const decoders = { br: brotliDecompressSync, gzip: gunzipSync };

/** Bytes of a response, its header lines included. */
function bytesOf(response: LightMyRequestResponse): number {
  const head = Object.entries(response.headers).map(([name, value]) => `${name}: ${value}\r\n`);
  return Buffer.byteLength(head.join("")) + response.rawPayload.length;
}
