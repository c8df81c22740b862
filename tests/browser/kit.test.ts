import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { makeLink } from "../../server/lead/links.ts";
import { pouredCups, trayCups } from "../../server/store/sheets.ts";
import { type House, openHouse } from "../app.ts";
import { type SealedFixture, sealedSession } from "../sealed-session.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";
import { type PaperSize, type PrintedPage, printed } from "./printed.ts";

const SIZES: PaperSize[] = ["A4", "Letter"];

/** ISO 216 and ANSI/ASME Y14.1, in millimetres. */
const paper = { A4: { width: 210, height: 297 }, Letter: { width: 215.9, height: 279.4 } };

/** Where each label's middle is, as the makers of such sheets give it; from memory. */
const grids = {
  "a4-3x8": { size: "A4", columns: 3, rows: 8, left: 0, top: 0.5, across: 70, down: 37 },
  "a4-5x13": { size: "A4", columns: 5, rows: 13, left: 4.75, top: 10.9, across: 40.6, down: 21.1 },
  "letter-3x10": {
    size: "Letter",
    columns: 3,
    rows: 10,
    left: 4.75,
    top: 12.7,
    across: 69.85,
    down: 25.4,
  },
} as const;

describe("The kit on paper", () => {
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  let house: House;
  let origin: string;
  let session: SealedFixture;
  beforeAll(async () => {
    browser = await launch();
    house = await openHouse();
    origin = await listen(house);
    session = await sealedSession(house, { tasters: 24, spareSeats: 2 });
    context = await browser.newContext(DESK);
    page = await context.newPage();
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId: session.leadId });
    await page.goto(`${origin}/enter/${token}`);
    await page.getByRole("button", { name: "Sign in" }).click();
  });
  afterAll(async () => {
    await browser.close();
    await house.close();
  });

  const sheet = (name: string) => `${origin}/lead/sessions/${session.sessionId}/sheets/${name}`;
  const secondPersonsSheet = async (shows: "pour-sheet" | "brew-sheet" | "key-sheet") => {
    const wish = { shows, note: "", days: 3 };
    const url = await makeLink(house.deps, session.sessionId, session.leadId, wish);
    await page.goto(origin + new URL(url).pathname);
    await page.getByRole("button", { name: "Open the sheet here" }).click();
    await page.locator("body.paper h1").waitFor();
  };
  const words = (pages: readonly PrintedPage[]) =>
    pages.map(({ texts }) => texts.map(({ text }) => text).join(" "));
  const codesOn = (text: string) => text.match(/\b[1-9]\d\d\b/g) ?? [];
  const expectInside = (size: PaperSize, pages: readonly PrintedPage[], margin: number) => {
    for (const { width, height, texts } of pages) {
      expect(Math.abs(width - paper[size].width)).toBeLessThan(0.5);
      expect(Math.abs(height - paper[size].height)).toBeLessThan(0.5);
      expect(texts.length).toBeGreaterThan(0);
      for (const { left, right, baseline } of texts) {
        expect(left).toBeGreaterThan(margin - 0.5);
        expect(right).toBeLessThan(width - margin + 0.5);
        expect(baseline).toBeGreaterThan(margin);
        expect(baseline).toBeLessThan(height - margin);
      }
    }
  };

  it.each(Object.entries(grids))("puts every label into its cell (%s)", async (id, grid) => {
    const cups = await pouredCups(house.deps.store, session.sessionId);
    await page.goto(`${sheet("labels")}?grid=${id}`);
    const pages = await printed(page, grid.size, `labels-${id}`);
    const perPage = grid.columns * grid.rows;
    expect(pages).toHaveLength(Math.ceil(cups.length / perPage));
    const labels = pages.map(({ texts }) => texts.filter(({ text }) => /^\d{3}$/.test(text)));
    expect(
      labels
        .flat()
        .map(({ text }) => text)
        .sort(),
    ).toEqual(cups.map(({ code }) => code).sort());
    for (const onPage of labels) {
      for (const [at, label] of onPage.entries()) {
        const left = grid.left + (at % grid.columns) * grid.across;
        const top = grid.top + Math.floor(at / grid.columns) * grid.down;
        expect(label.left).toBeGreaterThan(left + 2);
        expect(label.right).toBeLessThan(left + grid.across - 4);
        // The baseline lies below the middle by less than half a digit's height.
        expect(label.baseline - (top + grid.down / 2)).toBeGreaterThan(0);
        expect(label.baseline - (top + grid.down / 2)).toBeLessThan(6);
      }
    }
  });

  for (const size of SIZES) {
    it(`cuts plain-paper labels and seat cards from ${size} without a part beyond the edge`, async () => {
      await page.goto(`${sheet("labels")}?grid=plain-4x10`);
      const labels = await printed(page, size, "labels-plain");
      const cups = await pouredCups(house.deps.store, session.sessionId);
      expect(labels).toHaveLength(Math.ceil(cups.length / 40));
      expectInside(size, labels, 12);
      await page.goto(sheet("cards"));
      const cards = await printed(page, size, "cards");
      expect(cards).toHaveLength(Math.ceil(26 / 8));
      expectInside(size, cards, 12);
    });

    it(`prints each seat's tray sheet on pages of its own, headed by the seat (${size})`, async () => {
      const cups = await trayCups(house.deps.store, session.sessionId);
      await page.goto(sheet("trays"));
      const pages = await printed(page, size, "trays");
      expectInside(size, pages, 12);
      const printedCodes = new Map<string, string[]>();
      for (const text of words(pages)) {
        const seats = [...new Set(text.match(/Seat \d+/g))];
        expect(seats).toHaveLength(1);
        const seat = seats[0] ?? "";
        const codes = codesOn(text.replace(/.*tasting order/, ""));
        printedCodes.set(seat, [...(printedCodes.get(seat) ?? []), ...codes]);
      }
      for (const seat of new Set(cups.map((cup) => cup.seat))) {
        const own = cups.filter((cup) => cup.seat === seat).map(({ code }) => code);
        expect(printedCodes.get(`Seat ${seat}`)).toEqual(own);
      }
    });

    it(`repeats a paper ballot's seat on each of its pages and breaks no set apart (${size})`, async () => {
      await page.goto(`${sheet("ballots")}?language=all`);
      const pages = await printed(page, size, "ballots");
      expectInside(size, pages, 12);
      const heads = words(pages).map((text) => /^(Seat|Platz) \d+/.exec(text)?.[0]);
      expect(heads).not.toContain(undefined);
      expect(new Set(heads).size).toBe(2 * 26);
      const cups = await trayCups(house.deps.store, session.sessionId);
      for (const seat of [1, 26]) {
        const own = cups.filter((cup) => cup.seat === seat);
        for (const name of [`Seat ${seat}`, `Platz ${seat}`]) {
          const sheets = words(pages).filter((_, at) => heads[at] === name);
          for (const { code } of own) expect(sheets.join(" ")).toContain(code);
          for (const ordinal of new Set(own.map((cup) => cup.ordinal))) {
            const set = own.filter((cup) => cup.ordinal === ordinal);
            const whole = sheets.filter((text) => set.every(({ code }) => text.includes(code)));
            expect(whole.length).toBeGreaterThan(0);
          }
        }
      }
    });

    it(`prints the second person's sheets and the poster whole (${size})`, async () => {
      const cups = await pouredCups(house.deps.store, session.sessionId);
      for (const shows of ["pour-sheet", "key-sheet", "brew-sheet"] as const) {
        await secondPersonsSheet(shows);
        const pages = await printed(page, size, shows);
        expectInside(size, pages, 12);
        const text = words(pages).join(" ");
        if (shows === "brew-sheet") continue;
        for (const { code } of cups) expect(text).toContain(code);
      }
      await page.goto(sheet("spares"));
      const spares = await printed(page, size, "spares");
      expectInside(size, spares, 12);
      for (const { code, spare } of cups)
        if (spare) expect(words(spares).join(" ")).toContain(code);
      await page.goto(sheet("poster"));
      const poster = await printed(page, size, "poster");
      expectInside(size, poster, 12);
      expect(poster).toHaveLength(1);
      const code = await page.locator(".qr").boundingBox();
      const sheetWidth = page.viewportSize()?.width ?? 0;
      expect(Math.abs((code?.x ?? 0) + (code?.width ?? 0) / 2 - sheetWidth / 2)).toBeLessThan(10);
    });
  }

  it("is accessible on the screen, and no sheet wider than a desk or a phone", async () => {
    const problems: string[] = [];
    const small = await sealedSession(house, { tasters: 2, spareSeats: 1 });
    for (const name of ["labels", "trays", "spares", "cards", "ballots", "poster"]) {
      await page.goto(sheet(name).replace(session.sessionId, small.sessionId));
      const found = await accessibilityProblems(page);
      problems.push(...found.map((problem) => `${name}: ${problem}`));
      await tooWide(name, problems);
    }
    for (const shows of ["pour-sheet", "brew-sheet", "key-sheet"] as const) {
      await secondPersonsSheet(shows);
      problems.push(...(await accessibilityProblems(page)));
      await tooWide(shows, problems);
    }
    expect(problems).toEqual([]);
  });

  /** Notes where a person would have to push the whole page aside. */
  async function tooWide(name: string, problems: string[]): Promise<void> {
    for (const [at, { viewport }] of Object.entries({ phone: PHONE, desk: DESK })) {
      if (!viewport) throw new Error("Phone and desk have a size");
      await page.setViewportSize(viewport);
      const width = await page.evaluate<number>("document.documentElement.scrollWidth");
      if (width > viewport.width) problems.push(`${name} on a ${at}: ${width} px wide`);
      await picture(page, `kit-${name}-${at}`);
    }
  }

  it("offers a scanned card's own seat", async () => {
    const phone = await browser.newContext(PHONE);
    const taster = await phone.newPage();
    await taster.goto(`${origin}/join/${session.joinCode}?seat=9&language=en`);
    await taster.getByLabel("Your name or initials").fill("Q. R.");
    for (const box of await taster.getByRole("checkbox").all()) await box.check();
    await taster.getByRole("button", { name: "Join", exact: true }).click();
    await taster.getByRole("heading", { name: "You have seat 9" }).waitFor();
    await phone.close();
  });
});
