import type { Browser, BrowserContext, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { eventsOf } from "../../server/store/events.ts";
import { answersSchema } from "../../src/experiment/ballot.ts";
import { type House, openHouse } from "../app.ts";
import {
  closeSession,
  openSession,
  type SealedFixture,
  sealedSession,
  unblindSession,
} from "../sealed-session.ts";
import { type Tray, traysOf } from "../server/taster-sitting.ts";
import { accessibilityProblems, launch, listen, PHONE, picture } from "./chromium.ts";
import { fillSet, headingOf, joinOnPhone, lockSet } from "./taster-phone.ts";

/** The example plan serves a triangle and a pair on each of three coffees, and one same-pot control. */
const SETS = 7;

describe("A taster's phone", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let phones: BrowserContext[];
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser.close());
  beforeEach(async () => {
    phones = [];
    house = await openHouse();
    origin = await listen(house);
  });
  afterEach(async () => {
    await Promise.all(phones.map((phone) => phone.close()));
    await house.close();
  });

  async function phone(options: BrowserContextOptions = {}): Promise<BrowserContext> {
    const context = await browser.newContext({ ...PHONE, ...options });
    phones.push(context);
    return context;
  }

  async function storedBallots(): Promise<number> {
    const ballots = await house.deps.store.selectFrom("ballots").select("id").execute();
    return ballots.length;
  }

  async function kinds({ sessionId }: SealedFixture, kind: string): Promise<number> {
    const events = await eventsOf(house.deps.store, sessionId);
    return events.filter((event) => event.kind === kind).length;
  }

  async function toFirst(page: Page, legend: string): Promise<void> {
    while ((await page.getByText(legend).locator("visible=true").count()) === 0) {
      await fillSet(page);
      await lockSet(page);
    }
  }

  it("takes a whole sitting with scripts off, one page a set", async () => {
    const session = await openSession(house);
    const page = await joinOnPhone(
      await phone({ javaScriptEnabled: false }),
      origin,
      session.joinCode,
    );
    for (let set = 1; set <= SETS; set += 1) {
      expect(await headingOf(page)).toBe(`Set ${set} of ${SETS}`);
      expect(await page.locator("input[type=range]").count()).toBe(0);
      await fillSet(page, 1);
      await lockSet(page);
    }
    expect(await headingOf(page)).toBe("Thank you");
    expect(await storedBallots()).toBe(SETS);
  });

  it("says at the place what is missing with scripts off, and keeps the rest", async () => {
    const session = await openSession(house);
    const page = await joinOnPhone(
      await phone({ javaScriptEnabled: false }),
      origin,
      session.joinCode,
    );
    await page.getByLabel("Comment").locator("visible=true").fill("Like tea");
    await page.getByRole("button", { name: "Look once more" }).click();
    expect(await page.getByRole("alert").textContent()).toContain("Choose a cup");
    expect(await page.getByLabel("Comment").inputValue()).toBe("Like tea");
  });

  it("keeps an answer that was begun through a reload", async () => {
    const session = await openSession(house);
    const page = await joinOnPhone(await phone(), origin, session.joinCode);
    await fillSet(page, 1);
    const comment = page.getByLabel("Comment").locator("visible=true");
    await comment.fill("The second is drier");
    await page.reload();
    expect(await page.locator(".tiles:visible").first().getByRole("radio").nth(1).isChecked()).toBe(
      true,
    );
    expect(await comment.inputValue()).toBe("The second is drier");
    expect(await storedBallots()).toBe(0);
  });

  it("keeps a locked answer while the network is gone, and sends it once", async () => {
    const session = await openSession(house);
    const context = await phone();
    const page = await joinOnPhone(context, origin, session.joinCode);
    await context.setOffline(true);
    for (let set = 1; set <= 3; set += 1) {
      await fillSet(page);
      await lockSet(page);
    }
    expect(await headingOf(page)).toBe(`Set 4 of ${SETS}`);
    const status = page.getByRole("status");
    const kept = `No network now: 3 of ${SETS} answers are kept on this phone and sent by themselves`;
    await status.getByText(kept, { exact: true }).waitFor();
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, "taster-offline");
    expect(await storedBallots()).toBe(0);
    await context.setOffline(false);
    await status.getByText("received 3 · waiting on this phone 0").waitFor();
    expect(await storedBallots()).toBe(3);
    expect(await kinds(session, "ballot-stored")).toBe(3);
    expect(await kinds(session, "ballot-differs")).toBe(0);
  });

  it("sends an answer again whose acknowledgement was lost, and it is stored once", async () => {
    const session = await openSession(house);
    const page = await joinOnPhone(await phone(), origin, session.joinCode);
    let lost = 0;
    await page.route("**/taste/1", async (route) => {
      if (lost > 0) return await route.continue();
      lost += 1;
      await route.fetch();
      await route.abort();
    });
    await fillSet(page);
    await lockSet(page);
    await page.getByRole("status").getByText("received 1 · waiting on this phone 0").waitFor();
    expect(lost).toBe(1);
    expect(await kinds(session, "ballot-stored")).toBe(1);
    expect(await kinds(session, "ballot-differs")).toBe(0);
  });

  it("counts an answer once that had arrived before the page was loaded anew", async () => {
    const session = await openSession(house);
    const context = await phone();
    const page = await joinOnPhone(context, origin, session.joinCode);
    let tries = 0;
    await page.route("**/taste/1", async (route) => {
      tries += 1;
      if (tries === 1) await route.fetch();
      await route.abort();
    });
    await fillSet(page);
    await lockSet(page);
    await expect.poll(() => tries, { timeout: 20_000 }).toBe(2);
    await page.close();
    const again = await context.newPage();
    const sent = again.waitForResponse("**/taste/1");
    await again.goto(`${origin}/taste`);
    expect((await sent).status()).toBe(200);
    const status = again.getByRole("status");
    await status.getByText("waiting on this phone 0").waitFor();
    expect(await status.textContent()).toContain(`Answered 1 of ${SETS} · received 1 ·`);
    expect(await storedBallots()).toBe(1);
  });

  it("ends a sitting without network in digits for the desk, and sends it all on return", async () => {
    const session = await openSession(house);
    const context = await phone();
    const page = await joinOnPhone(context, origin, session.joinCode);
    await context.setOffline(true);
    for (let set = 1; set <= SETS; set += 1) {
      await fillSet(page);
      await lockSet(page);
    }
    expect(await headingOf(page)).toBe("Thank you");
    const strips = await page.locator("#strips li").allTextContents();
    expect(strips).toHaveLength(SETS);
    for (const [at, strip] of strips.entries()) {
      expect(strip).toMatch(new RegExp(`^001 00${at + 1} ([0-9]{3} )+- [0-9]$`));
      expect(isCheckedDigits(strip.replace(/\D/g, ""))).toBe(true);
    }
    expect(await accessibilityProblems(page)).toEqual([]);
    await picture(page, "taster-unsent");
    await context.setOffline(false);
    await page.getByText("Everything has arrived. You").waitFor();
    expect(await page.locator("#strips li").count()).toBe(0);
    expect(await storedBallots()).toBe(SETS);
    const trays = await traysOf(house, session);
    for (const [at, strip] of strips.entries()) {
      const answers = strip.split(" ").slice(2, -2);
      expect(answers).toEqual(await answersOn(trays[at]));
    }
  });

  /** A stored ballot as groups of three digits, in the order in which its form asks. */
  async function answersOn(tray: Tray | undefined): Promise<string[]> {
    const ballot = await house.deps.store
      .selectFrom("ballots")
      .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
      .select("ballots.answers_json")
      .where("presentations.ordinal", "=", tray?.ordinal ?? 0)
      .executeTakeFirstOrThrow();
    const answers = answersSchema.parse(JSON.parse(ballot.answers_json));
    return ["e1", "e2", "e3", "e4"].flatMap((id) => {
      const answer = answers[id];
      if (answer === undefined || tray === undefined) return [];
      if ("chosen" in answer) return [answer.chosen];
      if ("cannotTell" in answer) return ["000"];
      return tray.codes.map((code) => String(answer.scores[code]).padStart(3, "0"));
    });
  }

  it("sends what waited through a flat battery: new page, no cookie for forms", async () => {
    const session = await openSession(house);
    const context = await phone();
    const page = await joinOnPhone(context, origin, session.joinCode);
    await context.setOffline(true);
    await fillSet(page);
    await lockSet(page);
    await page.close();
    await context.clearCookies({ name: "_csrf" });
    await context.setOffline(false);
    const again = await context.newPage();
    await again.goto(`${origin}/taste`);
    await again.getByRole("status").getByText("received 1").waitFor();
    expect(await storedBallots()).toBe(1);
  });

  it("keeps the answers of two open pages apart", async () => {
    const session = await openSession(house);
    const context = await phone();
    const page = await joinOnPhone(context, origin, session.joinCode);
    const other = await context.newPage();
    await other.goto(`${origin}/taste`);
    await fillSet(page);
    await lockSet(page);
    await other.getByText(`Set 2 of ${SETS}`).locator("visible=true").waitFor();
    await fillSet(other);
    await lockSet(other);
    await other.getByRole("status").getByText("Answered 2").waitFor();
    await expect.poll(storedBallots).toBe(2);
    expect(await kinds(session, "ballot-differs")).toBe(0);
  });

  it("says that an answer came too late for a closed session, with no digits that lead nowhere", async () => {
    const session = await openSession(house);
    const context = await phone();
    const page = await joinOnPhone(context, origin, session.joinCode);
    await context.setOffline(true);
    await fillSet(page);
    await lockSet(page);
    await closeSession(house, session);
    await context.setOffline(false);
    const tooLate = page.getByRole("alert").getByText("An answer came too late. The tasting had");
    await tooLate.waitFor();
    expect(await page.locator("#strips li").count()).toBe(0);
    expect(await page.locator("#unsent").isVisible()).toBe(false);
    await page.goto(`${origin}/taste`);
    expect(await page.getByRole("heading").first().textContent()).toBe("This tasting has closed");
    await tooLate.waitFor();
    expect(await page.locator("#strips li").count()).toBe(0);
    expect(await page.locator("#unsent").isVisible()).toBe(false);
    expect(await storedBallots()).toBe(0);
  });

  it("shows a set anew when its tray has changed since the page was loaded", async () => {
    const session = await openSession(house);
    const page = await joinOnPhone(await phone(), origin, session.joinCode);
    const spilled = await page.locator(".tile.code label").first().textContent();
    await house.deps.store
      .updateTable("cups")
      .set({ code: "999" })
      .where("code", "=", spilled ?? "")
      .execute();
    await fillSet(page, 0);
    await lockSet(page);
    await page.getByRole("alert").getByText("isn't in this set").waitFor();
    expect(await page.locator(".tile.code label").first().textContent()).toBe("999");
    await fillSet(page, 0);
    await lockSet(page);
    await page.getByRole("status").getByText("received 1").waitFor();
  });

  it("scores with the keyboard alone, and counts no slider that wasn't touched", async () => {
    const session = await openSession(house);
    const page = await joinOnPhone(await phone(), origin, session.joinCode);
    await toFirst(page, "sourness");
    await page.locator("h1:visible").focus();
    for (const _ of ["bright", "liked"]) {
      await page.keyboard.press("Tab");
      await page.keyboard.press("Space");
    }
    const lookOnceMore = async () => {
      await page.getByRole("button", { name: "Look once more" }).focus();
      await page.keyboard.press("Enter");
    };
    await lookOnceMore();
    expect(
      await page
        .getByText(/^Set a number for cup/)
        .locator("visible=true")
        .count(),
    ).toBe(2);
    const sliders = page.getByRole("slider").locator("visible=true");
    expect(await sliders.first().getAttribute("aria-valuetext")).toBe("not set");

    await sliders.nth(0).focus();
    await page.keyboard.press("ArrowRight");
    await sliders.nth(1).focus();
    await page.keyboard.press("Space");
    expect(await sliders.nth(0).getAttribute("aria-valuetext")).toBe("51");
    await lookOnceMore();
    const review = page.locator("#review");
    expect(await review.locator("dd").allTextContents()).toEqual(
      expect.arrayContaining([
        expect.stringMatching(/^\d{3}: 51$/),
        expect.stringMatching(/^\d{3}: 50$/),
      ]),
    );
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    await page.getByRole("status").getByText("waiting on this phone 0").waitFor();
    const ballots = await house.deps.store.selectFrom("ballots").select("answers_json").execute();
    expect(ballots.at(-1)?.answers_json).toMatch(/:5[01],"\d{3}":5[01]\}/);
  });

  it("says of a number off the scale what one is on it, with and without scripts", async () => {
    const session = await openSession(house);
    const page = await joinOnPhone(await phone(), origin, session.joinCode);
    await toFirst(page, "sourness");
    await fillSet(page);
    const score = page.locator(".score input[name]:visible").first();
    const code = await page.locator(".score .code:visible").first().textContent();
    const complaint = page.getByText(`Type a whole number from 0 to 100 for cup ${code}`);
    const check = page.getByRole("button", { name: "Look once more" });
    for (const typed of ["150", "−4", "33,"]) {
      await score.fill(typed);
      await check.click();
      await complaint.locator("visible=true").waitFor();
    }
    await score.fill("");
    await check.click();
    await page.getByText(`Set a number for cup ${code}`).locator("visible=true").waitFor();
    await page.goto(
      `${origin}/taste/${await page.locator(".set:visible").getAttribute("data-set")}`,
    );
    await fillSet(page);
    await score.fill("33,");
    await check.click();
    expect(await page.locator(".score .error:visible").allTextContents()).toEqual([
      `Type a whole number from 0 to 100 for cup ${code}`,
    ]);
  });

  it("falls back to the plain forms where the phone refuses storage", async () => {
    const session = await openSession(house);
    const context = await phone();
    await context.addInitScript(() => {
      Storage.prototype.setItem = () => {
        throw new Error("refused");
      };
    });
    const page = await joinOnPhone(context, origin, session.joinCode);
    await fillSet(page);
    await lockSet(page);
    await page.getByText(`Set 2 of ${SETS}`).locator("visible=true").waitFor();
    expect(await storedBallots()).toBe(1);
  });

  it("runs its script without a fault on the pages beside the sitting", async () => {
    const session = await sealedSession(house);
    const page = await joinOnPhone(await phone(), origin, session.joinCode);
    const faults: string[] = [];
    page.on("pageerror", (error) => faults.push(`${page.url()}: ${error.message}`));
    const visit = async (path: string, heading: RegExp | string) => {
      await page.goto(`${origin}${path}`);
      await page.getByRole("heading", { name: heading }).first().waitFor();
    };
    await visit("/taste/trial", "Practice set");
    expect(await page.getByRole("slider").count()).toBe(2);
    await page.getByRole("slider").first().press("ArrowRight");
    expect(await page.locator(".score input[name]").first().inputValue()).toBe("51");
    await fillSet(page);
    await page.getByRole("button", { name: "Look once more" }).click();
    await page.getByRole("button", { name: "Lock and go on" }).click();
    await visit("/taste/data", /./);
    await visit("/taste/stop", /./);
    await house.deps.store
      .updateTable("sessions")
      .set({ state: "open", opened_at: "2026-03-02T09:00:00.000Z" })
      .execute();
    await visit("/taste/1", `Set 1 of ${SETS}`);
    await closeSession(house, session);
    await unblindSession(house, session);
    await house.deps.store.updateTable("sessions").set({ tasters_see: "own" }).execute();
    await visit("/taste/afterwards", "How you did");
    expect(faults).toEqual([]);
  });

  it("goes from waiting to the first set by itself when the session opens", async () => {
    const session = await sealedSession(house);
    const page = await joinOnPhone(await phone(), origin, session.joinCode);
    expect(await headingOf(page)).toBe("You have seat 1");
    await house.deps.store
      .updateTable("sessions")
      .set({ state: "open", opened_at: "2026-03-02T09:00:00.000Z" })
      .execute();
    await page.getByText(`Set 1 of ${SETS}`).locator("visible=true").waitFor();
  });

  for (const colorScheme of ["light", "dark"] as const) {
    it(`is accessible, touchable and ${colorScheme} on every page`, async () => {
      const session = await openSession(house);
      const context = await phone({ colorScheme });
      const page = await context.newPage();
      const look = lookingAt(page, colorScheme);
      await page.goto(`${origin}/join/WRONG?language=en`);
      await look("code");
      await page.goto(`${origin}/join/${session.joinCode}?language=de`);
      await look("join-german");
      await page.goto(`${origin}/join/${session.joinCode}?language=en`);
      await look("join");
      await page.getByRole("button", { name: "Join" }).click();
      await look("join-mend");
      await page.close();
      const seated = await joinOnPhone(context, origin, session.joinCode);
      await lookAtSets(seated, lookingAt(seated, colorScheme));
      await lookAtPlainPages(seated, lookingAt(seated, colorScheme));
    });
  }

  async function lookAtSets(page: Page, look: Look): Promise<void> {
    await toFirst(page, "Two of these cups");
    await fillSet(page, 1);
    await look("triangle");
    await page.getByRole("button", { name: "Look once more" }).click();
    await look("triangle-review");
    await page.getByRole("button", { name: "Lock and go on" }).click();
    await toFirst(page, "sourness");
    await page.getByRole("button", { name: "Look once more" }).click();
    await look("pair-mend");
    await fillSet(page, 1);
    await look("pair");
    await page.getByRole("button", { name: "Look once more" }).click();
    await look("pair-review");
    await page.getByRole("button", { name: "Lock and go on" }).click();
    await page.getByRole("status").getByText("waiting on this phone 0").waitFor();
  }

  async function lookAtPlainPages(page: Page, look: Look): Promise<void> {
    await page.goto(`${origin}/taste/${SETS}`);
    await page.getByRole("button", { name: "Look once more" }).click();
    await look("plain-mend");
    await fillSet(page);
    await page.getByRole("button", { name: "Look once more" }).click();
    await look("plain-review");
    await page.goto(`${origin}/taste/stop`);
    await look("stop");
    await page.getByRole("button", { name: "Yes, stop and erase" }).click();
    await look("stopped");
  }

  it("reflows at twice the text size without scrolling sideways", async () => {
    const session = await openSession(house);
    const page = await joinOnPhone(await phone(), origin, session.joinCode);
    for (const kind of ["Two of these cups", "sourness"]) {
      await toFirst(page, kind);
      await page.evaluate(() => {
        document.documentElement.style.fontSize = "225%";
      });
      const width = await page.evaluate(() => document.documentElement.scrollWidth);
      expect([kind, width]).toEqual([kind, 390]);
      await picture(page, `taster-large-${kind.split(" ")[0]}`);
      await page.evaluate(() => {
        document.documentElement.style.fontSize = "";
      });
    }
  });
});

/** ISO/IEC 7064, MOD 11,10, with its check digit last; the standard's own example, from memory, is 0794 5. */
function isCheckedDigits(digits: string): boolean {
  let product = 10;
  for (const digit of digits.slice(0, -1)) {
    const sum = (product + Number(digit)) % 10;
    product = ((sum === 0 ? 10 : sum) * 2) % 11;
  }
  return (product + Number(digits.at(-1))) % 10 === 1;
}

type Look = (name: string) => Promise<void>;

/** Checks the page in view by axe, target size and colour scheme, and takes its picture. */
function lookingAt(page: Page, colorScheme: "light" | "dark"): Look {
  return async (name) => {
    expect([name, ...(await accessibilityProblems(page))]).toEqual([name]);
    expect([name, ...(await narrowTargets(page))]).toEqual([name]);
    expect([name, await isDark(page)]).toEqual([name, colorScheme === "dark"]);
    await picture(page, `taster-${name}-${colorScheme}`);
  };
}

/** Things to touch that are lower or narrower than 48 px; links within a text don't count. */
async function narrowTargets(page: Page): Promise<string[]> {
  return await page.evaluate(() =>
    [...document.querySelectorAll("a, button, input:not([type=hidden]), textarea")]
      .filter((element) => element.checkVisibility() && element.closest("li") === null)
      .map((element) => element.closest(".tick") ?? element)
      .flatMap((element) => {
        const { width, height } = element.getBoundingClientRect();
        if (width >= 48 && height >= 48) return [];
        return [`${element.outerHTML.slice(0, 80)} ${width}×${height}`];
      }),
  );
}

async function isDark(page: Page): Promise<boolean> {
  const colour = await page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const [red = 255] = (colour.match(/\d+/g) ?? []).map(Number);
  return red < 60;
}
