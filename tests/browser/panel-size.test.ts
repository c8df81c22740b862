import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { type House, openHouse } from "../app.ts";
import { sealedSession } from "../sealed-session.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

describe("Panel size and methods in a browser", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let leadId: string;
  beforeAll(async () => {
    browser = await launch();
    house = await openHouse();
    origin = await listen(house);
    leadId = (await sealedSession(house)).leadId;
  }, 60_000);
  afterAll(async () => {
    await browser.close();
    await house.close();
  });

  const signedIn = async (context: BrowserContext): Promise<Page> => {
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId });
    const page = await context.newPage();
    await page.goto(`${origin}/enter/${token}`);
    await page.getByRole("button", { name: "Sign in" }).click();
    return page;
  };

  const looks = [
    { name: "phone", options: { ...PHONE, colorScheme: "light" } },
    { name: "phone-dark", options: { ...PHONE, colorScheme: "dark" } },
    { name: "desk", options: { ...DESK, colorScheme: "light" } },
    { name: "desk-dark", options: { ...DESK, colorScheme: "dark" } },
  ] as const;
  const paths = {
    apart: "/lead/panel",
    more: "/lead/panel?question=more&replicates=2&tasters=24",
    liked: "/lead/panel?question=liked&coffees=1&brewPairsPerCoffee=1",
    scores: "/lead/panel?question=scores",
    same: "/lead/panel?question=same&coffees=5&brewPairsPerCoffee=1&tasters=54",
    yield: "/lead/panel?question=yield",
    mistakes: "/lead/panel?question=more&pickRate=0.7&tasters=many",
    methods: "/bench/methods",
  };

  for (const { name, options } of looks) {
    it(`are accessible and never wider than the window (${name})`, async () => {
      const context = await browser.newContext(options);
      const page = await signedIn(context);
      const problems: string[] = [];
      for (const [title, path] of Object.entries(paths)) {
        await page.goto(origin + path);
        const found = await accessibilityProblems(page);
        problems.push(...found.map((problem) => `${title}: ${problem}`));
        const width = await page.evaluate<number>("document.documentElement.scrollWidth");
        if (width > (page.viewportSize()?.width ?? 0)) problems.push(`${title}: ${width} px wide`);
        await picture(page, `panel-${title}-${name}`);
      }
      await context.close();
      expect(problems).toEqual([]);
    }, 120_000);
  }

  it("show every column of the other methods on a phone", async () => {
    const context = await browser.newContext(PHONE);
    const page = await signedIn(context);
    await page.goto(origin + paths.apart);
    const table = page.locator("table", { hasText: "What it asks of you" });
    const cells = await table.locator("tbody :is(th, td)").all();
    expect(cells.length).toBeGreaterThan(8);
    for (const cell of cells) {
      const box = await cell.boundingBox();
      expect((box?.x ?? 0) + (box?.width ?? 999)).toBeLessThanOrEqual(PHONE.viewport?.width ?? 0);
    }
    await context.close();
  });

  it("lead from a question to a new plan without scripts", async () => {
    const context = await browser.newContext({ ...DESK, javaScriptEnabled: false });
    const page = await signedIn(context);
    await page.getByRole("link", { name: "Panel size", exact: true }).click();
    await page.getByLabel("People who truly notice, in %").fill("40");
    await page.getByLabel("People who can taste").fill("30");
    await page.getByRole("button", { name: "Which has more of something?" }).click();
    await page.getByLabel("Of what?").fill("sweetness");
    await page.getByLabel("Picks of one cup, in %").fill("seven");
    await page.getByRole("button", { name: "Work it out" }).click();
    await page.getByRole("link", { name: "Give 51 to 99 picks in a hundred" }).click();
    await page.getByLabel("Picks of one cup, in %").fill("75");
    await page.getByLabel("Picks of one cup, in %").press("Enter");
    const address = page.url();
    expect(address).toContain("pickRate=75");
    await page.getByRole("link", { name: "Start a plan with what you have" }).click();
    expect(await page.getByLabel("Attribute").first().inputValue()).toBe("sweetness");
    expect(await page.getByLabel("Tasters", { exact: true }).inputValue()).toBe("30");
    await page.goto(address);
    // Three coffees with two brew pairs each.
    expect(await page.getByRole("row", { name: /Yours/ }).textContent()).toContain("180");
    expect(await page.locator('[name="noticing"]').inputValue()).toBe("40");
    await context.close();
  }, 60_000);
});
