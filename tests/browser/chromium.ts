import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { AxeResults } from "axe-core";
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import type { House } from "../app.ts";

const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** A phone held upright, operated by touch. */
export const PHONE: BrowserContextOptions = {
  viewport: { width: 390, height: 844 },
  deviceScaleFactor: 2,
  isMobile: true,
  hasTouch: true,
};

/** A desk with mouse and keyboard. */
export const DESK: BrowserContextOptions = { viewport: { width: 1280, height: 900 } };

/** Starts the machine's own Chromium; close it when the file's tests are done. */
export async function launch(): Promise<Browser> {
  return await chromium.launch({
    executablePath: process.env.EVENPOUR_CHROMIUM ?? "/usr/bin/chromium",
    args: FLAGS,
  });
}

/** Lets a house listen on a loopback port of its own; returns its origin, without a closing slash. */
export async function listen(house: House): Promise<string> {
  return await house.app.listen({ host: "127.0.0.1", port: 0 });
}

const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core"), "utf8");

/** What axe-core finds wrong with the page as it stands: rule and elements, one line each. */
export async function accessibilityProblems(page: Page): Promise<string[]> {
  // Evaluated, not added as a script element: the page's own policy allows none from elsewhere.
  await page.evaluate(axeSource);
  const results = await page.evaluate<AxeResults>("axe.run()");
  return results.violations.map(
    ({ id, nodes }) => `${id}: ${nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`,
  );
}

/** Saves a picture of the whole page as NAME.png in the folder EVENPOUR_PICTURES, when that is set. */
export async function picture(page: Page, name: string): Promise<void> {
  const folder = process.env.EVENPOUR_PICTURES;
  if (folder !== undefined) {
    await page.screenshot({ path: `${folder}/${name}.png`, fullPage: true });
  }
}
