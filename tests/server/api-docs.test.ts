import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";
import { type House, openHouse } from "../app.ts";
import { DESK, launch, listen, picture } from "../browser/chromium.ts";

describe("The API's documentation at /api/docs", () => {
  let house: House;
  let browser: Browser;
  let origin: string;
  beforeAll(async () => {
    house = await openHouse();
    origin = await listen(house);
    browser = await launch();
  });
  afterAll(async () => {
    await browser.close();
    await house.close();
  });

  it("renders every door under its own strict policy, asking no other host", async () => {
    const page = await browser.newPage(DESK);
    const complaints: string[] = [];
    const hosts = new Set<string>();
    page.on("console", (message) => {
      if (message.type() === "error") complaints.push(message.text());
    });
    page.on("pageerror", (error) => complaints.push(error.message));
    page.on("request", (request) => {
      if (!request.url().startsWith("data:")) hosts.add(new URL(request.url()).origin);
    });
    const answer = await page.goto(`${origin}/api/docs`);
    await page.locator("#operations-calculators-discrimination-test").waitFor();
    expect(await page.locator(".opblock").count()).toBe(calculators.size + 2);
    await picture(page, "api-docs");
    expect(complaints).toEqual([]);
    expect([...hosts]).toEqual([origin]);
    const policy = answer?.headers()["content-security-policy"] ?? "";
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toMatch(/unsafe|https:|http:|\*|upgrade-insecure/);
    await page.close();
  });

  it("computes an example from the page", async () => {
    const page = await browser.newPage(DESK);
    await page.goto(`${origin}/api/docs`);
    const door = page.locator("#operations-calculators-discrimination-test");
    await door.click();
    await door
      .locator("textarea.body-param__text")
      .fill('{"method":"triangle","assessments":12,"correct":8}');
    await door.locator("button.execute").click();
    const result = door.locator(".responses-table.live-responses-table");
    await result.waitFor();
    expect(await result.textContent()).toContain('"criticalCount": 8');
    await page.close();
  });
});
