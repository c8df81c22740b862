import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { planExperiment } from "../../seed/play.ts";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { type House, openHouse } from "../app.ts";
import { examplePlan, sealedSession } from "../sealed-session.ts";
import { brightPlan, sit } from "../server/bright-sitting.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

describe("Rehearsal and evidence in a browser", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let leadId: string;
  let planned: string;
  let experimentId: string;
  beforeAll(async () => {
    browser = await launch();
    house = await openHouse();
    ({ leadId } = await sealedSession(house));
    const lead = await house.signedInLead();
    planned = await planExperiment(lead, { ...examplePlan, tasters: 12 });
    const { A, B } = examplePlan.treatments;
    const soft = { ...A, name: "Soft water", addedIons: {} };
    experimentId = await planExperiment(lead, brightPlan({ coffees: examplePlan.coffees }));
    for (const [i, picksOfB] of [9, 6, 8].entries()) {
      await sit(house, lead, experimentId, { name: `Sitting ${i + 1}`, picksOfB });
    }
    for (const [name, addedIons] of [
      ["Magnesium water", { magnesium: 12, chloride: 35 }],
      ["Calcium water", { calcium: 20, chloride: 35.4 }],
      ["Mixed water", { magnesium: 6, calcium: 10, chloride: 35.2 }],
    ] as const) {
      const treatments = { A: soft, B: { ...B, name, addedIons } };
      const id = await planExperiment(lead, brightPlan({ title: name, treatments }));
      await sit(house, lead, id, { name: "One", picksOfB: 7 });
    }
    origin = await listen(house);
  }, 180_000);
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
    { name: "desk", options: { ...DESK, colorScheme: "light" } },
    { name: "desk-dark", options: { ...DESK, colorScheme: "dark" } },
  ] as const;

  for (const { name, options } of looks) {
    it(`are accessible and never wider than the window (${name})`, async () => {
      const context = await browser.newContext({ ...options });
      const page = await signedIn(context);
      const problems: string[] = [];
      const look = async (title: string) => {
        const found = await accessibilityProblems(page);
        problems.push(...found.map((problem) => `${title}: ${problem}`));
        const width = await page.evaluate<number>("document.documentElement.scrollWidth");
        if (width > (page.viewportSize()?.width ?? 0)) problems.push(`${title}: ${width} px wide`);
        await picture(page, `${title}-${name}`);
      };
      const rehearsal = `/lead/experiments/${planned}/rehearsal`;
      await page.goto(origin + rehearsal);
      await look("rehearsal-before");
      await page.getByLabel("How many panels to play").selectOption("200");
      await page.getByRole("button", { name: "Play it" }).click();
      await page.getByRole("progressbar").waitFor();
      await look("rehearsal-running");
      await page.getByText("Played 200 panels a row").waitFor({ timeout: 40_000 });
      await look("rehearsal-done");
      for (const [title, path] of Object.entries({
        "evidence-experiment": `/lead/experiments/${experimentId}/evidence`,
        "evidence-shelf": "/lead/evidence",
        "evidence-question": "/lead/evidence/direction-bright",
      })) {
        const answer = await page.goto(origin + path);
        expect([title, answer?.status()]).toEqual([title, 200]);
        for (const summary of await page.locator("summary").all()) await summary.click();
        await look(title);
      }
      await context.close();
      expect(problems).toEqual([]);
    }, 100_000);
  }

  it("work without scripts: the page looks again by itself until the result is there", async () => {
    const context = await browser.newContext({ ...DESK, javaScriptEnabled: false });
    const page = await signedIn(context);
    await page.goto(`${origin}/lead/experiments/${planned}/rehearsal`);
    await page.getByLabel("How many panels to play").selectOption("200");
    await page.getByRole("button", { name: "Play it" }).click();
    await page.getByText("Played 200 panels a row").waitFor({ timeout: 40_000 });
    expect(await page.locator("progress").count()).toBe(0);
    await context.close();
  }, 100_000);
});
