import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";
import { type House, openHouse } from "../app.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

describe("The bench in a browser", () => {
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

  const typeTriangles = async (page: Page, correct: string) => {
    await page.goto(`${origin}/bench/discrimination-test`);
    await page.getByLabel("Method").selectOption("triangle");
    await page.getByLabel("Answers in all").fill("36");
    await page.getByLabel("Correct answers").fill(correct);
    await page.getByRole("button", { name: "Compute" }).click();
  };

  it.each([
    ["phone", PHONE],
    ["desk", DESK],
  ])("computes on a %s without scripts, accessibly", async (size, device) => {
    const plain = await browser.newContext({ ...device, javaScriptEnabled: false });
    const page = await plain.newPage();
    await typeTriangles(page, "17");
    await page.getByText("If nobody could tell, 17 or more of 36").waitFor();
    await picture(page, `bench-result-${size}`);
    await typeTriangles(page, "a few");
    expect(await page.getByLabel("Correct answers").getAttribute("aria-invalid")).toBe("true");
    expect(await page.getByLabel("Answers in all").inputValue()).toBe("36");
    await picture(page, `bench-mistake-${size}`);
    await plain.close();
  });

  it("is accessible on every page and never wider than a phone", async () => {
    const phone = await browser.newContext(PHONE);
    const page = await phone.newPage();
    const pages = ["", ...[...calculators.keys()].map((name) => `/${name}`)];
    const problems: string[] = [];
    for (const path of pages) {
      await page.goto(`${origin}/bench${path}`);
      const found = await accessibilityProblems(page);
      const tooWide = await page.evaluate(
        "document.documentElement.scrollWidth > document.documentElement.clientWidth",
      );
      problems.push(...found.map((problem) => `${path} ${problem}`));
      if (tooWide) problems.push(`${path} scrolls sideways`);
      if (["", "/match-minerals", "/across-coffees"].includes(path)) {
        await picture(page, `bench${path.replace("/", "-")}`);
      }
    }
    expect(problems).toEqual([]);
    await typeTriangles(page, "17");
    expect(await accessibilityProblems(page)).toEqual([]);
    await phone.close();
  });
});
