import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { type House, openHouse } from "../app.ts";
import { openSession } from "../sealed-session.ts";
import { accessibilityProblems, launch, listen, PHONE, picture } from "./chromium.ts";
import { fillSet, headingOf, joinOnPhone, lockSet } from "./taster-phone.ts";

const PATIENCE = { timeout: 20_000 };

describe("The rest between sets on a phone", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let phone: BrowserContext;
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser.close());
  beforeEach(async () => {
    house = await openHouse();
    origin = await listen(house);
  });
  afterEach(async () => {
    await phone.close();
    await house.close();
  });

  /** A phone in a session that asks for a rest; its clock may move only when a test says so. */
  const seated = async (
    clock: "its own clock" | "our clock" | "no scripts" = "our clock",
    serving = { palateRestSeconds: 45 },
  ): Promise<Page> => {
    const { joinCode } = await openSession(house, { serving });
    phone = await browser.newContext({ ...PHONE, javaScriptEnabled: clock !== "no scripts" });
    if (clock === "our clock") {
      await phone.clock.install({ time: "2026-03-02T09:00:00Z" });
      await phone.clock.pauseAt("2026-03-02T09:00:01Z");
    }
    const page = await joinOnPhone(phone, origin, joinCode);
    // The server's clock stands still: with time gone by since joining, what a phone says can be so.
    house.wait(1_200_000);
    return page;
  };
  const timer = (page: Page) => page.getByRole("timer");
  const aloud = (page: Page) => page.locator("[aria-live]").textContent();
  const answerSet = async (page: Page) => {
    await fillSet(page);
    await lockSet(page);
  };
  const stored = async () =>
    await house.deps.store
      .selectFrom("ballots")
      .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
      .select("ballots.seconds_rested")
      .orderBy("presentations.ordinal")
      .execute();
  const restsStored = async (count: number) => {
    await expect.poll(async () => (await stored()).length, PATIENCE).toBe(count);
    return (await stored()).map(({ seconds_rested }) => seconds_rested);
  };

  it("counts down above the next set, aloud only at its start and its end", async () => {
    const page = await seated();
    expect(await timer(page).count()).toBe(0);
    await answerSet(page);
    expect(await headingOf(page)).toBe("Set 2 of 7");
    expect(await timer(page).textContent()).toBe("Rest: 45 s");
    await picture(page, "phone-rest");
    await phone.clock.runFor(15_000);
    expect(await timer(page).textContent()).toBe("Rest: 30 s");
    expect(await aloud(page)).toBe("Rest: 45 s");
    await phone.clock.runFor(31_000);
    expect(await timer(page).textContent()).toBe("You have rested. Go on when you like.");
    expect(await aloud(page)).toBe("You have rested. Go on when you like.");
    await answerSet(page);
    expect(await restsStored(2)).toEqual([null, 46]);
  });

  it("holds nobody up: the set can be answered at once, and the rest is kept as it was", async () => {
    const page = await seated();
    await answerSet(page);
    await phone.clock.runFor(7_000);
    await page.locator(".tiles:visible").first().getByRole("radio").first().check();
    expect(await timer(page).count()).toBe(0);
    // Looking at the set for longer makes the rest before it no longer.
    await phone.clock.runFor(60_000);
    await answerSet(page);
    expect(await restsStored(2)).toEqual([null, 7]);
    expect(await timer(page).textContent()).toBe("Rest: 45 s");
  });

  it("says nothing of a rest after the last set, neither in sight nor aloud", async () => {
    const page = await seated();
    for (let set = 1; set <= 7; set += 1) await answerSet(page);
    expect(await headingOf(page)).toBe("Thank you");
    expect(await timer(page).count()).toBe(0);
    expect(await aloud(page)).toBe("");
  });

  it("goes on through a reload, before the first touch and after it", async () => {
    const page = await seated("its own clock", { palateRestSeconds: 600 });
    const left = async () => Number(/\d+/.exec((await timer(page).textContent()) ?? "")?.[0]);
    await answerSet(page);
    await expect.poll(left, PATIENCE).toBeLessThan(599);
    const before = await left();
    await page.reload();
    expect(await left()).toBeLessThanOrEqual(before);
    await expect.poll(left, PATIENCE).toBeLessThan(before);
    expect(await accessibilityProblems(page)).toEqual([]);
    await page.locator(".tiles:visible").first().getByRole("radio").first().check();
    const rested = await page.evaluate<string>(
      "[...document.querySelectorAll('[name=rested]')].map(({ value }) => value).join('')",
    );
    expect(Number(rested)).toBeGreaterThan(600 - before);
    await page.reload();
    expect(await timer(page).count()).toBe(0);
    await answerSet(page);
    expect(await restsStored(2)).toEqual([null, Number(rested)]);
  });

  it("is a line of text without scripts, and then nobody knows how long it was", async () => {
    const page = await seated("no scripts");
    await answerSet(page);
    expect(await headingOf(page)).toBe("Set 2 of 7");
    const line = page.getByText("Rest for about 45 seconds before each new set.");
    expect(await line.locator("visible=true").count()).toBe(1);
    expect(await timer(page).count()).toBe(0);
    await answerSet(page);
    expect(await restsStored(2)).toEqual([null, null]);
  });

  it("dates an answer that waited for the network by when it was locked", async () => {
    const page = await seated();
    await phone.setOffline(true);
    await answerSet(page);
    await phone.clock.runFor(600_000);
    await phone.setOffline(false);
    await phone.clock.runFor(20_000);
    await restsStored(1);
    const { answered_at, received_at } = await house.deps.store
      .selectFrom("ballots")
      .select(["answered_at", "received_at"])
      .executeTakeFirstOrThrow();
    const waited = (Date.parse(received_at) - Date.parse(answered_at ?? "")) / 1000;
    expect(waited).toBeGreaterThanOrEqual(600);
    expect(waited).toBeLessThanOrEqual(620);
  });
});
