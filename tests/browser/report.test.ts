import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type PlayedDemo, playDemo } from "../../seed/demo.ts";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { makeLink } from "../../server/lead/links.ts";
import { letTastersSee } from "../../server/store/afterwards.ts";
import { type House, openHouse } from "../app.ts";
import { closeSession, openSession, unblindSession } from "../sealed-session.ts";
import { ballotOn, traysOf } from "../server/taster-sitting.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";
import { printed } from "./printed.ts";

describe("A report in a browser", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let played: PlayedDemo;
  let managersLink: string;
  const folder = mkdtempSync(join(tmpdir(), "report-"));
  beforeAll(async () => {
    browser = await launch();
    house = await openHouse();
    origin = await listen(house);
    played = await playDemo(house.deps);
    const wish = { shows: "report", note: "", days: 7 } as const;
    const link = await makeLink(house.deps, played.finished, played.leadId, wish);
    managersLink = `${origin}${new URL(link).pathname}`;
  }, 180_000);
  afterAll(async () => {
    await browser.close();
    await house.close();
    rmSync(folder, { recursive: true });
  });

  const open = async (options: BrowserContextOptions): Promise<Page> =>
    await (await browser.newContext(options)).newPage();
  const signedIn = async (options: BrowserContextOptions): Promise<Page> => {
    const page = await open(options);
    const { leadId } = played;
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId });
    await page.goto(`${origin}/enter/${token}`);
    await page.getByRole("button", { name: "Sign in" }).click();
    return page;
  };

  it.each<[string, BrowserContextOptions]>([
    ["desk", DESK],
    ["phone", PHONE],
    ["desk-dark", { ...DESK, colorScheme: "dark" }],
    ["phone-dark", { ...PHONE, colorScheme: "dark" }],
  ])("is readable and accessible on a %s, for a manager and opened out", async (name, options) => {
    const page = await open(options);
    await page.goto(managersLink);
    expect(await accessibilityProblems(page)).toEqual([]);
    await page.evaluate(
      "for (const part of document.querySelectorAll('details')) part.open = true",
    );
    expect(await accessibilityProblems(page)).toEqual([]);
    const overflow = await page.evaluate(
      "document.documentElement.scrollWidth - document.documentElement.clientWidth",
    );
    expect(overflow).toBe(0);
    expect(await cutOff(page, ".plot text")).toEqual([]);
    await picture(page, `report-${name}`);
    await page.context().close();
  });

  it("stacks on a phone what a manager reads, instead of letting it scroll", async () => {
    const page = await open(PHONE);
    await page.goto(managersLink);
    const tables = page.locator("table.stacks");
    expect(await tables.count()).toBeGreaterThan(3);
    expect(await page.locator(".wide table.stacks").count()).toBe(0);
    expect(await cutOff(page, ".stacks :is(th, td):not(thead *)")).toEqual([]);
    const cells = tables.first().locator("tbody tr").first().locator("th, td");
    const boxes = await Promise.all((await cells.all()).map((cell) => cell.boundingBox()));
    expect(boxes.length).toBe(3);
    expect(new Set(boxes.map((box) => box?.x)).size).toBe(1);
    const label = await page.evaluate(
      "getComputedStyle(document.querySelector('.stacks td[data-label]'), '::before').content",
    );
    expect(label).toBe('"Verdict: "');
    await page.context().close();
  });

  it.each<[string, BrowserContextOptions]>([
    ["desk", DESK],
    ["phone", PHONE],
  ])("lets a lead import a panel and choose what tasters see, on a %s", async (name, options) => {
    const page = await signedIn(options);
    await page.goto(`${origin}/lead/experiments/${played.experimentId}/import`);
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, `import-empty-${name}`);
    await page
      .getByLabel("Or paste its rows")
      .fill("taster,coffee,question,chosen\nAna,Nowhere,x,");
    await page.getByRole("button", { name: "Check the answers" }).click();
    await page.getByRole("heading", { name: "Nothing was imported" }).waitFor();
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, `import-problems-${name}`);
    const example = (await page.locator("pre").textContent()) ?? "";
    await page.getByLabel("Or paste its rows").fill(example);
    await page.getByRole("button", { name: "Check the answers" }).click();
    await page.getByRole("heading", { name: "All is well" }).waitFor();
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, `import-preview-${name}`);
    await page.getByRole("button", { name: "Import as" }).click();
    await page.getByText("imported, not blinded here").waitFor();
    await picture(page, `imported-session-${name}`);
    await page.getByRole("link", { name: "Read the report", exact: true }).click();
    await page.getByText("Not blinded here. An outside panel").waitFor();
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, `imported-report-${name}`);
    await page.goto(`${origin}/lead/sessions/${played.finished}/afterwards`);
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, `afterwards-${name}`);
    await page.context().close();
  });

  it.each(["en", "de"])("shows a taster how they did on their own phone (%s)", async (language) => {
    const session = await openSession(house);
    const page = await open({ ...PHONE, javaScriptEnabled: true });
    await page.goto(`${origin}/join/${session.joinCode}?language=${language}`);
    await page.locator("#name").fill("Q. R.");
    for (const box of await page.getByRole("checkbox").all()) await box.check();
    await page.locator("form[method=post] button").first().click();
    await page.waitForURL("**/taste");
    const cookie = (await page.context().cookies())
      .map(({ name, value }) => `${name}=${value}`)
      .join("; ");
    for (const tray of await traysOf(house, session)) {
      const form = new URLSearchParams({ ...ballotOn(tray), _csrf: await csrfOf(page) });
      const headers = { cookie, "content-type": "application/x-www-form-urlencoded" };
      const url = `/taste/${tray.ordinal}`;
      const payload = form.toString();
      const sent = await house.app.inject({ method: "POST", url, headers, payload });
      expect(sent.statusCode).toBe(303);
    }
    await closeSession(house, session);
    await unblindSession(house, session);
    const choice = {
      sessionId: session.sessionId,
      see: "own-and-headline",
      actor: "system",
    } as const;
    await house.deps.store
      .transaction()
      .execute((trx) => letTastersSee(trx, { ...choice, at: "2026-03-02T12:00:00.000Z" }));
    await page.goto(`${origin}/taste`);
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, `ended-${language}`);
    await page.locator("a.button").click();
    await page.waitForURL("**/taste/afterwards");
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, `how-they-did-${language}`);
    await page.context().close();
  });

  it("opens from disk in one file, asking nothing of any server", async () => {
    const page = await open(DESK);
    await page.goto(managersLink);
    const headline = await page.locator(".headline").textContent();
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("link", { name: "Save the page" }).click(),
    ]);
    expect(download.suggestedFilename()).toBe("report.html");
    const file = join(folder, "report.html");
    await download.saveAs(file);
    const asked: string[] = [];
    const offline = await open({ ...DESK, offline: true });
    offline.on("request", (request) => asked.push(request.url()));
    await offline.goto(`file://${file}`);
    expect(asked.filter((url) => !url.startsWith("file:") && !url.startsWith("data:"))).toEqual([]);
    expect(await offline.locator(".headline").textContent()).toBe(headline);
    const colour = await offline.evaluate(
      "getComputedStyle(document.querySelector('.plot [fill=\"var(--band)\"]')).fill",
    );
    expect(colour).toMatch(/^rgb/);
    expect(await offline.locator("a[href^='/'], link, script, img, iframe").count()).toBe(0);
    expect(await accessibilityProblems(offline)).toEqual([]);
    await picture(offline, "report-saved");
    await page.context().close();
    await offline.context().close();
  });

  it.each(["A4", "Letter"] as const)(
    "prints whole on %s, with every table opened",
    async (size) => {
      const page = await open({ ...DESK, colorScheme: "dark" });
      await page.goto(managersLink);
      const shown = await page
        .locator(":is(td, th, dd, li, h2, h3):not(.screen-only *)")
        .allTextContents();
      const headings = (await page.locator("h2, h3").allTextContents()).map(squeezed);
      const first = await page
        .locator(".page-one :is(p, h1, dd, th, td, li, code)")
        .allTextContents();
      const folded = await page.locator("details:not(:has(tr:nth-child(20)))").all();
      const parts = await Promise.all(
        folded.map((one) => one.locator("summary, th, td, dt, dd").allTextContents()),
      );
      const pages = await printed(page, size, "report");
      const texts = pages.map(({ height, texts: all }) =>
        squeezed(
          all.flatMap(({ text, baseline }) => (baseline < height - FOOT ? text : [])).join(""),
        ),
      );
      const whole = texts.join("");
      const absent = (wanted: string[], from: string) =>
        wanted.map(squeezed).filter((text) => text !== "" && !from.includes(text));
      expect(absent(shown, whole)).toEqual([]);
      expect(whole).not.toContain("Savethepage");
      expect(pages.length).toBeLessThanOrEqual(6);
      // Verdict, every coffee, what next, hashes and dates: the first page holds by itself.
      expect(first.length).toBeGreaterThan(30);
      expect(absent(first, texts[0] ?? "")).toEqual([]);
      for (const [at, { width, height, texts: all }] of pages.entries()) {
        const foot = all.filter(({ baseline }) => baseline >= height - FOOT);
        const counted = `Page${at + 1}of${pages.length}`;
        expect(squeezed(foot.map(({ text }) => text).join(""))).toContain(counted);
        expect(all.filter(({ left }) => left < 8)).toEqual([]);
        expect(all.filter(({ right }) => right > width - 8)).toEqual([]);
      }
      // Numbers stay whole with their heading: no row of a short table goes on elsewhere.
      expect(parts.length).toBeGreaterThan(7);
      expect(parts.filter((part) => texts.every((on) => absent(part, on).length > 0))).toEqual([]);
      // A heading at the foot of a page is cut off from what it heads.
      expect(texts.filter((text) => headings.some((heading) => text.endsWith(heading)))).toEqual(
        [],
      );
      await page.context().close();
    },
  );
});

/** Millimetres of a printed page's lower margin, where its number stands. */
const FOOT = 14;

/** Texts of elements that reach beyond the left or right edge of the window. */
async function cutOff(page: Page, selector: string): Promise<string[]> {
  const found = await page.evaluate<{ text: string; left: number; right: number }[]>(
    `[...document.querySelectorAll("${selector}")].map((it) => {
      const { left, right } = it.getBoundingClientRect();
      return { text: it.textContent, left, right };
    })`,
  );
  expect(found.length).toBeGreaterThan(10);
  const width = page.viewportSize()?.width ?? 0;
  return found
    .filter(({ left, right }) => right > left && (left < 0 || right > width))
    .map(({ text }) => text);
}

/** The token of the form that the page holds. */
async function csrfOf(page: Page): Promise<string> {
  return (await page.locator("input[name=_csrf]").first().getAttribute("value")) ?? "";
}

/** Text without its spaces: a PDF sets them as it likes. */
function squeezed(text: string): string {
  return text.replace(/\s+/g, "");
}
