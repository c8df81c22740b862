import type { Browser, BrowserContext, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { type House, openHouse } from "../app.ts";
import { openSession, type SealedFixture } from "../sealed-session.ts";
import { logged } from "../server/incidents-room.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

const SOON = { timeout: 20_000 };

describe("Pouring in the lead's room", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let fixture: SealedFixture;
  let context: BrowserContext;
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser.close());
  beforeEach(async () => {
    house = await openHouse();
    origin = await listen(house);
    fixture = await openSession(house, { serving: { servingFromMinutes: 5, windowMinutes: 20 } });
  });
  afterEach(async () => {
    await context.close();
    await house.close();
  });

  const room = async (options: BrowserContextOptions = {}): Promise<Page> => {
    context = await browser.newContext({ ...DESK, ...options });
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId: fixture.leadId });
    const page = await context.newPage();
    await page.goto(`${origin}/enter/${token}`);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.goto(`${origin}/lead/sessions/${fixture.sessionId}/room`);
    return page;
  };
  const rows = (page: Page) => page.getByRole("listitem").filter({ hasText: "pots " });
  const press = (page: Page) => page.getByRole("button", { name: "Poured now R1" }).click();
  const checked = async (page: Page, name: string) => {
    await picture(page, name);
    expect(await accessibilityProblems(page), name).toEqual([]);
    expect(
      await page.evaluate("document.documentElement.scrollWidth - innerWidth"),
      name,
    ).toBeLessThanOrEqual(0);
  };

  it("takes one press a round, by the device's own clock, and goes on by itself", async () => {
    const page = await room({ timezoneId: "Asia/Kolkata" });
    expect(await rows(page).count()).toBe(3);
    await checked(page, "room-pouring");
    await press(page);
    await page.waitForURL("**/room?recorded=yes#pouring");
    const first = rows(page).first();
    // 09:00 UTC is 14:30 there.
    await first.getByText("too hot until 14:35").waitFor(SOON);
    await first.getByText("poured at 14:30").waitFor(SOON);
    await page.getByText("Times are this device’s.").first().waitFor(SOON);
    await checked(page, "room-poured");
    house.wait(6 * 60_000);
    house.deps.live.changed(fixture.sessionId);
    await first.getByText("to be tasted until 14:50").waitFor(SOON);
    house.wait(20 * 60_000);
    house.deps.live.changed(fixture.sessionId);
    await first.getByText("too cold since 14:50").waitFor(SOON);
    await checked(page, "room-too-cold");
  });

  it("turns from too hot to right without a word from the server", async () => {
    const page = await room();
    await press(page);
    await page.waitForURL("**/room?recorded=yes#pouring");
    house.wait(5 * 60_000 - 1500);
    await page.reload();
    await rows(page).first().getByText("too hot until").waitFor(SOON);
    house.wait(1500);
    await rows(page).first().getByText("to be tasted until").waitFor(SOON);
  });

  it("keeps the place of whoever works it by keyboard when the page follows the room", async () => {
    const page = await room();
    await page.locator("#pour-2").focus();
    const fetched = page.waitForResponse("**/room/grid");
    house.deps.live.changed(fixture.sessionId);
    await fetched;
    await expect.poll(() => page.evaluate("document.activeElement.id"), SOON).toBe("pour-2");
  });

  it("corrects a time as the device's clock shows it, and takes a slip back", async () => {
    const page = await room({ ...PHONE, timezoneId: "Asia/Kolkata" });
    await press(page);
    await page.getByRole("link", { name: "Correct R1" }).click();
    const time = page.getByLabel("Poured at");
    expect(await time.inputValue()).toBe("14:30");
    await checked(page, "pouring-correction");
    await time.fill("half past");
    await page.getByRole("button", { name: "Correct the time" }).click();
    expect(await page.getByRole("alert").textContent()).toContain("Give hours and minutes");
    expect(await time.inputValue()).toBe("half past");
    await time.fill("14:20");
    await page.getByRole("button", { name: "Correct the time" }).click();
    await page.waitForURL("**/room?recorded=yes#pouring");
    await rows(page).first().getByText("poured at 14:20").waitFor(SOON);
    await checked(page, "room-pouring-phone");
    const [event] = await logged(house, fixture, "pouring-corrected");
    expect(event?.body.pouredAt).toBe("2026-03-02T08:50:00.000Z");
    await page.getByRole("link", { name: "Correct R1" }).click();
    await page.getByRole("button", { name: "It was not poured" }).click();
    await page.waitForURL("**/room?recorded=yes#pouring");
    expect(await page.getByText("not poured yet").count()).toBe(3);
  });

  it("works without scripts, in UTC, and says so", async () => {
    const page = await room({ javaScriptEnabled: false, timezoneId: "Asia/Kolkata" });
    await press(page);
    await page.waitForURL("**/room?recorded=yes#pouring");
    expect(await rows(page).first().textContent()).toContain("too hot until 09:05");
    expect(await page.getByText("Times are UTC.").first().isVisible()).toBe(true);
    await page.getByRole("link", { name: "Correct R1" }).click();
    await page.getByLabel("Poured at").fill("08:55");
    await page.getByRole("button", { name: "Correct the time" }).click();
    expect(await rows(page).first().textContent()).toContain("to be tasted until 09:15");
  });
});
