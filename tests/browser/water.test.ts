import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { addLead } from "../../server/store/leads.ts";
import { type House, openHouse } from "../app.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

describe("Waters in a browser", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let folder: string;
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser.close());
  beforeEach(async () => {
    house = await openHouse();
    origin = await listen(house);
    folder = mkdtempSync(join(tmpdir(), "evenpour-paper-"));
    const lead = {
      id: "lead-w",
      name: "Ines",
      passphraseHash: "scrypt$none$none",
      at: "2026-03-02T09:00:00.000Z",
    };
    await house.deps.store.transaction().execute((trx) => addLead(trx, lead));
  });
  afterEach(async () => {
    rmSync(folder, { recursive: true });
    await house.close();
  });

  const signedIn = async (options: BrowserContextOptions): Promise<Page> => {
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId: "lead-w" });
    const page = await (await browser.newContext(options)).newPage();
    await page.goto(`${origin}/enter/${token}`);
    await page.locator("main button").first().click();
    return page;
  };

  /** The invented recipe of these tests: hardness and alkalinity from three salts. */
  const fillMatch = async (page: Page) => {
    await page.getByLabel("Coffee, g", { exact: true }).fill("24");
    await page.getByLabel("Brew water, g", { exact: true }).fill("384");
    await page.getByLabel("Beverage of a trial brew, g", { exact: true }).fill("334,5");
    await page.getByLabel("Dose into the coffee, mL", { exact: true }).fill("6,7");
    await page.getByLabel("Hardness, mg/L as CaCO3", { exact: true }).fill("60");
    await page.getByLabel("Alkalinity, mg/L as CaCO3", { exact: true }).fill("30");
    await page.getByLabel("Magnesium's share of hardness, %", { exact: true }).fill("100");
    await page
      .getByLabel("Assay in percent of magnesium chloride hexahydrate", { exact: true })
      .fill("99,2");
  };

  it("go from an empty match page to a printed sheet on A4 and Letter, without scripts", async () => {
    const page = await signedIn({ ...DESK, javaScriptEnabled: false });
    await page.getByRole("link", { name: "Water", exact: true }).click();
    await page.getByRole("link", { name: "Match waters" }).first().click();
    await fillMatch(page);
    await page.getByRole("button", { name: "Work it out" }).last().click();
    expect(await page.getByRole("status").textContent()).toContain(
      "Passes: the two cups can be called matched",
    );
    expect(await page.getByLabel("Beverage of a trial brew, g").inputValue()).toBe("334,5");
    await page.getByLabel("Name of this match").fill("Hazel and flint");
    await page.getByRole("button", { name: "Save under this name" }).click();
    await page.getByRole("link", { name: "Print the water sheet" }).click();
    expect(await page.locator("h1").textContent()).toBe("Water sheet: Hazel and flint");
    const pages = { A4: [595, 842], Letter: [612, 792] } as const;
    for (const format of ["A4", "Letter"] as const) {
      const paper = await printed(page, format);
      const [width, height] = pages[format];
      expect(paper.widths.every((points) => Math.abs(points - width) < 1.5)).toBe(true);
      expect(paper.heights.every((points) => Math.abs(points - height) < 1.5)).toBe(true);
      for (const words of [
        "Water sheet: Hazel and flint",
        "magnesium chloride hexahydrate (MgCl2·6H2O, E511)",
        "potassium bicarbonate (KHCO3, E501(ii))",
        "Check with mock cups",
        "Mind this",
        "K3",
        "R7",
        "Not for drinking undiluted",
      ]) {
        expect(paper.text).toContain(words);
      }
      expect(paper.text).not.toContain("Back to the match");
    }
  });

  /** What is on paper: the size of each page in points, and the text as pdftotext reads it, where it is. */
  async function printed(page: Page, format: "A4" | "Letter") {
    const pdf = await page.pdf({ format });
    const file = join(folder, `${format}.pdf`);
    writeFileSync(file, pdf);
    if (process.env.EVENPOUR_PICTURES !== undefined) {
      writeFileSync(`${process.env.EVENPOUR_PICTURES}/water-sheet-${format}.pdf`, pdf);
    }
    const boxes = [...pdf.toString("latin1").matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)];
    expect(boxes.length).toBeGreaterThan(0);
    return {
      widths: boxes.map(([, width]) => Number(width)),
      heights: boxes.map(([, , height]) => Number(height)),
      text: await textOf(page, file),
    };
  }

  async function textOf(page: Page, file: string): Promise<string> {
    if (existsSync("/usr/bin/pdftotext")) {
      const text = execFileSync("/usr/bin/pdftotext", ["-raw", file, "-"], { encoding: "utf8" });
      return text.replace(/\s+/g, " ");
    }
    await page.emulateMedia({ media: "print" });
    // biome-ignore lint/performance/useDomNodeTextContent: what paper hides must not count
    return (await page.innerText("main")).replace(/\s+/g, " ");
  }

  it.each([
    ["phone", PHONE],
    ["phone in the dark", { ...PHONE, colorScheme: "dark" as const }],
    ["desk", DESK],
  ])(
    "are accessible and fit a %s: match page, answer, sheet, cup dose, batches",
    async (name, device) => {
      const page = await signedIn(device);
      const looksRight = async (shot: string) => {
        expect([shot, await accessibilityProblems(page)]).toEqual([shot, []]);
        const overflow = await page.evaluate("document.documentElement.scrollWidth - innerWidth");
        expect([shot, Number(overflow) <= 0]).toEqual([shot, true]);
        await picture(page, `water-${shot}-${name}`);
      };
      await page.goto(`${origin}/lead/water/match`);
      await looksRight("match-empty");
      await page.getByLabel("Coffee, g", { exact: true }).fill("no");
      await page.getByRole("button", { name: "Work it out" }).last().click();
      expect(await page.getByRole("alert").count()).toBe(1);
      await looksRight("match-mistake");
      await fillMatch(page);
      await page.getByRole("button", { name: "Work it out" }).last().click();
      await looksRight("match-answer");
      await page.getByLabel("Name of this match").fill("Hazel and flint");
      await page.getByRole("button", { name: "Save under this name" }).click();
      await page.getByRole("link", { name: "Print the water sheet" }).click();
      await looksRight("sheet");
      await page.goto(`${origin}/lead/water`);
      await looksRight("index");
      await page.goto(`${origin}/lead/water/cup-dose`);
      await page.getByRole("button", { name: "Work it out" }).click();
      await looksRight("cup-dose");
      await page.goto(`${origin}/lead/water/batches/new`);
      await looksRight("batch-new");
      await page.getByLabel("Label on the vessel").fill("Flint 1");
      await page.getByLabel("Made up to").fill("1000");
      await page.getByLabel("Grams of potassium chloride").fill("0,7455");
      await page.getByLabel("Measured", { exact: true }).selectOption("conductivity");
      await page.getByLabel("Conductivity, µS/cm").fill("1408");
      await page.getByRole("button", { name: "Record this batch" }).click();
      expect(await page.getByRole("region", { name: "Readings" }).textContent()).toContain(
        "agrees",
      );
      await looksRight("batch");
      await page.goto(`${origin}/lead/water/batches`);
      await looksRight("batches");
    },
  );

  it("show only the amounts that the choice of target and arms asks for", async () => {
    const page = await signedIn(DESK);
    await page.goto(`${origin}/lead/water/match`);
    const shown = (label: string) => page.getByLabel(label, { exact: true }).isVisible();
    expect(await shown("Hardness, mg/L as CaCO3")).toBe(true);
    expect(await shown("Hardness after brewing, mg/L as CaCO3")).toBe(false);
    expect(await shown("In the cup, mg/L of sodium chloride")).toBe(false);
    await page.getByLabel("Salts", { exact: true }).check();
    await page.getByLabel("Different amounts before and after").check();
    expect(await shown("Hardness, mg/L as CaCO3")).toBe(false);
    expect(await shown("In the cup, mg/L of sodium chloride")).toBe(true);
    expect(await shown("After brewing, mg/L of sodium chloride")).toBe(true);
  });
});
