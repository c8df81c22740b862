import { mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { brewLog } from "../../server/store/brews.ts";
import { type House, openHouse } from "../app.ts";
import { examplePlan, type SealedFixture, sealedSession } from "../sealed-session.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

describe("The brew log in a browser", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let session: SealedFixture;
  let page: Page;
  let base: string;
  beforeAll(async () => {
    browser = await launch();
    house = await openHouse();
    origin = await listen(house);
    session = await sealedSession(house, {
      coffees: [...examplePlan.coffees, { id: "c4", name: "Petrel", roast: "light" }],
      brewPairsPerCoffee: 3,
    });
    page = await (await browser.newContext(DESK)).newPage();
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId: session.leadId });
    await page.goto(`${origin}/enter/${token}`);
    await page.getByRole("button", { name: "Sign in" }).click();
    base = `${origin}/lead/sessions/${session.sessionId}`;
  });
  afterAll(async () => {
    await browser.close();
    await house.close();
  });

  it("imports a sheet of 24 brews, once its two bad cells are mended", async () => {
    const pots = await brewLog(house.deps.store, session.sessionId);
    expect(pots).toHaveLength(24);
    const name = (id: string) => session.plan.coffees.find((coffee) => coffee.id === id)?.name;
    const rows = pots.map((pot, at) =>
      [
        name(pot.coffeeId),
        pot.letter,
        pot.waterLabel,
        pot.plannedBrewer,
        60,
        1000,
        868 + (at % 7),
        190 + at,
        `1.${36 + (at % 4)} 1.38`,
      ].join(","),
    );
    const heading =
      "coffee,pot,water_label,brewer,dose_g,brew_water_g,beverage_g,brew_s,tds_percent";
    const bad = rows.map((row, at) => {
      if (at === 4) return row.replace(",60,", ",sixty,");
      return at === 17 ? row.replace(",1000,", ",,") : row;
    });
    const folder = mkdtempSync(join(tmpdir(), "brews-"));
    const save = (file: string, lines: string[]) => {
      writeFileSync(join(folder, file), [heading, ...lines].join("\n"));
      return join(folder, file);
    };
    await page.goto(`${base}/brews/import`);
    await page.getByLabel("A CSV file").setInputFiles(save("bad.csv", bad));
    await page.getByRole("button", { name: "Check the sheet" }).click();
    const complaints = await page.locator(".summary li").allTextContents();
    expect(complaints).toEqual([
      "Row 6, dose_g: “sixty” is not a number",
      "Row 19, brew_water_g: Fill this in",
    ]);
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, "brew-import-bad");
    await page.getByLabel("A CSV file").setInputFiles(save("good.csv", rows));
    await page.getByRole("button", { name: "Check the sheet" }).click();
    await page.getByText("All is well: 24 brews to store").waitFor();
    await picture(page, "brew-import-good");
    await page.getByRole("button", { name: "Store these 24 brews" }).click();
    await page.getByText("24 of 24 pots logged").waitFor();
  });

  it("shows its pages without a violation, and never wider than a phone", async () => {
    const [pot] = await brewLog(house.deps.store, session.sessionId);
    const state = await page.context().storageState();
    for (const [size, options] of [
      ["desk", DESK],
      ["phone", PHONE],
    ] as const) {
      const context = await browser.newContext({ ...options, storageState: state });
      const window = await context.newPage();
      for (const path of [
        "brews",
        `brews/${pot?.potId}`,
        `brews/${pot?.potId}/rejection`,
        "brews/import",
        "parity",
        "links",
        "sheets/labels",
        "sheets/trays",
        "sheets/poster",
      ]) {
        await window.goto(`${base}/${path}`);
        const shown = path.replaceAll("/", "-").replace(pot?.potId ?? "", "pot");
        await picture(window, `${shown}-${size}`);
        expect(await accessibilityProblems(window), `${path} at ${size}`).toEqual([]);
        if (!path.startsWith("sheets")) {
          const wider = await window.evaluate("document.documentElement.scrollWidth - innerWidth");
          expect(wider, `${path} at ${size}`).toBe(0);
        }
      }
      await context.close();
    }
  });
});
