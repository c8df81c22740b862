import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type House, openHouse } from "../app.ts";
import { openSession, type SealedFixture } from "../sealed-session.ts";
import { launch, listen, PHONE } from "./chromium.ts";
import { fillSet, joinOnPhone, lockSet } from "./taster-phone.ts";

/** Chromium's own throttling: 400 ms a round trip, 50 kB/s, about a weak 3G cell. */
const SLOW = { offline: false, latency: 400, downloadThroughput: 50_000, uploadThroughput: 50_000 };

describe("On a throttled network", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let session: SealedFixture;
  beforeAll(async () => {
    browser = await launch();
    house = await openHouse();
    origin = await listen(house);
    session = await openSession(house);
  });
  afterAll(async () => {
    await browser.close();
    await house.close();
  });

  it("a taster's page is usable within two round trips: the page, then its style and script at once", async () => {
    const phone = await browser.newContext(PHONE);
    const page = await joinOnPhone(phone, origin, session.joinCode);
    const network = await phone.newCDPSession(page);
    await network.send("Network.enable");
    await network.send("Network.setCacheDisabled", { cacheDisabled: true });
    await network.send("Network.emulateNetworkConditions", SLOW);
    const asked: { url: string; after: number; by: string }[] = [];
    let answered = 0;
    page.on("request", (request) =>
      asked.push({
        url: new URL(request.url()).pathname,
        after: answered,
        by: request.resourceType(),
      }),
    );
    page.on("requestfinished", () => {
      answered += 1;
    });
    await page.reload({ waitUntil: "load" });
    // Nothing waits for more than the page itself: style and script are asked for once it begins to arrive.
    expect(asked.map(({ url }) => url).sort()).toEqual([
      "/assets/ballot.js",
      "/assets/taster.css",
      "/taste",
    ]);
    expect(asked.every(({ after }) => after <= 1)).toBe(true);
    // And then a whole set can be answered and is received, on the same network.
    await fillSet(page);
    await lockSet(page);
    await expect
      .poll(async () => await page.locator("#status").textContent(), { timeout: 20_000 })
      .toContain("received 1");
    await phone.close();
  });
});
