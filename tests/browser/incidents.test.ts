import type { Browser, BrowserContext, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { type House, openHouse } from "../app.ts";
import { openSession, type SealedFixture, sealedSession } from "../sealed-session.ts";
import { logged } from "../server/incidents-room.ts";
import { type Tray, traysOf } from "../server/taster-sitting.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";
import { fillSet, headingOf, joinOnPhone, lockSet } from "./taster-phone.ts";

/** An open phone asks every five seconds whether its trays have changed. */
const NOTICES = { timeout: 30_000 };

/** A test waits for several such notices in turn, and looks at many pages between them. */
const SEVERAL_NOTICES = { timeout: 180_000 };

describe("Incidents in a browser", SEVERAL_NOTICES, () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let contexts: BrowserContext[];
  let fixture: SealedFixture;
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser.close());
  beforeEach(async () => {
    contexts = [];
    house = await openHouse();
    origin = await listen(house);
    fixture = await openSession(house);
  });
  afterEach(async () => {
    await Promise.all(contexts.map((context) => context.close()));
    await house.close();
  });

  const opened = async (options: BrowserContextOptions): Promise<BrowserContext> => {
    const context = await browser.newContext(options);
    contexts.push(context);
    return context;
  };
  const leadPage = async (options: BrowserContextOptions = DESK): Promise<Page> => {
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId: fixture.leadId });
    const page = await (await opened(options)).newPage();
    await page.goto(`${origin}/enter/${token}`);
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.goto(`${origin}/lead/sessions/${fixture.sessionId}/room`);
    return page;
  };
  const phonePage = async (options: BrowserContextOptions = {}) => {
    const phone = await opened({ ...PHONE, ...options });
    // Nobody sits down under a name that another has.
    return await joinOnPhone(phone, origin, fixture.joinCode, `T${contexts.length}`);
  };

  /** Fills an incident's form in from the room's button, looks once more, and records it. */
  const record = async (
    page: Page,
    button: string,
    typed: Record<string, string> = {},
    chosen: Record<string, string> = {},
  ) => {
    await page.getByRole("link", { name: button, exact: true }).click();
    for (const [label, value] of Object.entries(typed)) {
      await page.getByLabel(label, { exact: true }).fill(value);
    }
    for (const [name, value] of Object.entries(chosen)) {
      await page.locator(`select[name="${name}"]`).selectOption(value);
    }
    const look = page.getByRole("button", { name: "Look at it once more" });
    if ((await look.count()) > 0) {
      await checked(page, `${button}-form`);
      await look.click();
    }
    await checked(page, `${button}-confirm`);
    await page.getByRole("button", { name: "Record it" }).click();
    await page.waitForURL("**/room?recorded=yes");
  };
  const checked = async (page: Page, name: string) => {
    await picture(page, `incident-${name.toLowerCase()}`);
    expect(await accessibilityProblems(page), name).toEqual([]);
    expect(
      await page.evaluate("document.documentElement.scrollWidth - innerWidth"),
      name,
    ).toBeLessThanOrEqual(0);
  };
  const trayIn = async (ordinal: number, seat = 1): Promise<Tray> => {
    const tray = (await traysOf(house, fixture, seat)).find((one) => one.ordinal === ordinal);
    if (tray === undefined) throw new Error(`Seat ${seat} has no set ${ordinal}`);
    return tray;
  };
  const stored = async () =>
    (await house.deps.store.selectFrom("ballots").select("id").execute()).length;

  it("a spilled cup: the open phone shows the new code by itself and its answer is taken", async () => {
    const phone = await phonePage();
    const lead = await leadPage();
    const { codes } = await trayIn(1);
    const [code = ""] = codes;
    await phone.locator(`input[type="radio"][value="${codes[1]}"]:visible`).first().check();
    await record(
      lead,
      "Spill",
      { Seat: "1", "Code on the spilled cup": code },
      { inWindow: "yes" },
    );
    await checked(lead, "room-after-spill");
    const [newCode = ""] = (await trayIn(1)).codes;
    expect(newCode).not.toBe(code);
    await phone.getByText(`Its number is now ${newCode}`).waitFor(NOTICES);
    await checked(phone, "phone-spill");
    expect(await phone.locator(`input[value="${code}"]`).count()).toBe(0);
    // What was chosen before stays chosen.
    expect(
      await phone.locator(`input[type="radio"][value="${codes[1]}"]:visible`).first().isChecked(),
    ).toBe(true);
    await fillSet(phone);
    await lockSet(phone);
    await expect.poll(stored, NOTICES).toBe(1);
  });

  it("a spilled cup while the phone is offline: the old number is asked again when it returns", async () => {
    const context = await opened(PHONE);
    const phone = await joinOnPhone(context, origin, fixture.joinCode);
    const lead = await leadPage();
    await context.setOffline(true);
    await fillSet(phone);
    await lockSet(phone);
    const [code = ""] = (await trayIn(1)).codes;
    await record(
      lead,
      "Spill",
      { Seat: "1", "Code on the spilled cup": code },
      { inWindow: "yes" },
    );
    await context.setOffline(false);
    const [newCode = ""] = (await trayIn(1)).codes;
    await phone.getByText(`Its number is now ${newCode}`).waitFor(NOTICES);
    expect(await headingOf(phone)).toBe("Set 1 of 7");
    await fillSet(phone);
    await lockSet(phone);
    await expect.poll(stored, NOTICES).toBe(1);
  });

  it("a mix-up on a tray: corrected on two names, wrong codes said at their fields", async () => {
    const phone = await phonePage();
    await fillSet(phone);
    await lockSet(phone);
    await expect.poll(stored, NOTICES).toBe(1);
    const lead = await leadPage();
    const [code = "", otherCode = ""] = (await trayIn(1)).codes;
    await lead.getByRole("link", { name: "Mix-up", exact: true }).click();
    await lead.getByLabel("Seat", { exact: true }).fill("1");
    await lead.getByLabel("Code on one cup").fill(code);
    await lead.getByLabel("Code on the other cup").fill((await trayIn(2)).codes[0] ?? "");
    await lead.locator('select[name="resolution"]').selectOption("corrected");
    await lead.getByRole("button", { name: "Look at it once more" }).click();
    await checked(lead, "mix-up-two-names");
    expect(await lead.locator("#witness-error").textContent()).toContain("two names");
    await lead.getByLabel("Who else saw it").fill("K. L.");
    await lead.getByRole("button", { name: "Look at it once more" }).click();
    expect(await lead.locator("#otherCode-error").textContent()).toContain("is not on the tray");
    await lead.getByLabel("Code on the other cup").fill(otherCode);
    await lead.getByRole("button", { name: "Look at it once more" }).click();
    await checked(lead, "mix-up-confirm");
    await lead.getByRole("button", { name: "Record it" }).click();
    await lead.getByText("corrected on two names").first().waitFor();
    expect(await logged(house, fixture, "incident-mix-up")).toHaveLength(1);
  });

  it("a void set leaves the open phone and comes again at its end", async () => {
    const phone = await phonePage();
    const lead = await leadPage();
    await record(lead, "Void", { Seat: "1", Set: "1" }, { reason: "foreign smell or taste" });
    await phone.getByRole("heading", { name: "Set 2 of 7" }).waitFor(NOTICES);
    await record(lead, "Again", { Seat: "1", Set: "1" });
    await phone.getByRole("heading", { name: "Set 2 of 8" }).waitFor(NOTICES);
    await checked(lead, "room-after-again");
    for (let set = 2; set <= 8; set += 1) {
      expect(await headingOf(phone)).toBe(`Set ${set} of 8`);
      await fillSet(phone);
      await lockSet(phone);
    }
    await expect.poll(stored, NOTICES).toBe(7);
    await lead.reload();
    expect(await lead.locator(".cell.saved").count()).toBe(7);
  });

  it("a pause: phones say so and keep the answer, which is sent when the tasting goes on", async () => {
    const phone = await phonePage();
    const lead = await leadPage();
    await record(lead, "Pause");
    await phone.getByText("The tasting is paused").first().waitFor(NOTICES);
    await checked(phone, "phone-paused");
    await fillSet(phone);
    await lockSet(phone);
    await expect
      .poll(() => phone.locator("#status").textContent(), NOTICES)
      .toContain("waiting on this phone 1");
    expect(await stored()).toBe(0);
    // The phone loads its page anew; a context that is closed meanwhile can hang in Chromium.
    const loadedAnew = phone.waitForEvent("load", NOTICES);
    await record(lead, "Go on");
    await loadedAnew;
    await expect.poll(stored, NOTICES).toBe(1);
    await expect
      .poll(() => phone.getByText("The tasting is paused").locator("visible=true").count(), NOTICES)
      .toBe(0);
    // The phone is loading its page anew; Chromium now and then never closes one that is.
    await phone.waitForFunction("document.readyState === 'complete'");
  });

  it("a pause with scripts off: the answer stays on the page until it is taken", async () => {
    const phone = await phonePage({ javaScriptEnabled: false });
    const lead = await leadPage();
    await record(lead, "Pause");
    await fillSet(phone, 1);
    await lockSet(phone);
    expect(await phone.locator("main").textContent()).toContain("The tasting is paused");
    await record(lead, "Go on");
    await phone.getByRole("button", { name: "Lock and go on" }).click();
    expect(await headingOf(phone)).toBe("Set 2 of 7");
    expect(await stored()).toBe(1);
  });

  it("a seat moves to another phone by a typed code; what waits on the old one goes by the desk", async () => {
    const context = await opened(PHONE);
    const old = await joinOnPhone(context, origin, fixture.joinCode);
    await fillSet(old);
    await lockSet(old);
    await expect.poll(stored, NOTICES).toBe(1);
    await context.setOffline(true);
    await fillSet(old);
    await lockSet(old);
    const lead = await leadPage();
    await lead.getByRole("link", { name: "Move a seat to another phone" }).click();
    await lead.getByLabel("Seat", { exact: true }).fill("1");
    await lead.getByRole("button", { name: "Make a code" }).click();
    await checked(lead, "seat-move");
    const code = (await lead.locator(".join-code").textContent()) ?? "";
    const phone = await (await opened(PHONE)).newPage();
    await phone.goto(`${origin}/join`);
    await phone.getByLabel("Code on the poster").fill(code);
    await phone.getByRole("button", { name: "Go on" }).click();
    await checked(phone, "phone-move");
    await phone.getByRole("button", { name: "Yes, take this seat" }).click();
    await phone.waitForURL("**/taste");
    expect(await headingOf(phone)).toBe("Set 2 of 7");
    await context.setOffline(false);
    const strip = old.locator("#strips li").first();
    await strip.waitFor(NOTICES);
    await checked(old, "phone-strip");
    await lead.goto(`${origin}/lead/sessions/${fixture.sessionId}/desk`);
    const digits = (await strip.textContent()) ?? "";
    const last = Number(digits.slice(-1));
    await lead.getByLabel("Digits on the phone").fill(`${digits.slice(0, -1)}${(last + 1) % 10}`);
    await lead.getByRole("button", { name: "Take the answer in" }).click();
    await checked(lead, "desk-wrong-digit");
    await lead.getByLabel("Digits on the phone").fill(digits);
    await lead.getByRole("button", { name: "Take the answer in" }).click();
    await checked(lead, "desk-taken");
    expect(await stored()).toBe(2);
    await phone
      .getByRole("heading", { name: "Set 3 of 7" })
      .waitFor({ timeout: 1 })
      .catch(() => phone.reload());
    expect(await headingOf(phone)).toBe("Set 3 of 7");
  });

  it("a paper ballot is typed in twice before it counts", async () => {
    await phonePage();
    const lead = await leadPage();
    const { codes } = await trayIn(1);
    await lead.getByRole("link", { name: "Type a paper ballot in" }).click();
    await lead.getByLabel("Seat", { exact: true }).fill("1");
    await lead.getByLabel("Set", { exact: true }).fill("1");
    await lead.getByRole("button", { name: "Go on" }).click();
    const typeIn = async (score: string, button: string) => {
      for (const field of await lead.locator('input[name^="e"]').all()) {
        const name = (await field.getAttribute("name")) ?? "";
        await field.fill(name.includes("-") ? score : (codes[0] ?? ""));
      }
      await lead.getByRole("button", { name: button }).click();
    };
    await checked(lead, "paper-first");
    await typeIn("40", "Keep the first reading");
    await typeIn("46", "Compare with the first reading");
    await checked(lead, "paper-differs");
    expect(await stored()).toBe(0);
    await typeIn("46", "Compare with the first reading");
    await checked(lead, "paper-taken");
    expect(await stored()).toBe(1);
  });

  it("a practice set before the opening, with and without scripts", async () => {
    fixture = await sealedSession(house);
    for (const javaScriptEnabled of [true, false]) {
      const phone = await phonePage({ javaScriptEnabled });
      await phone.getByRole("link", { name: "Try a practice set" }).click();
      await fillSet(phone, 1);
      // axe needs the page's scripts to run.
      if (javaScriptEnabled) await checked(phone, "phone-trial");
      await phone.getByRole("button", { name: "Look once more" }).click();
      await phone.getByRole("button", { name: "Lock and go on" }).click();
      expect(await headingOf(phone)).toBe("Your phone works");
    }
    expect(await stored()).toBe(0);
  });

  it("the room and its forms work on a phone too", async () => {
    await phonePage();
    const lead = await leadPage({ ...PHONE, javaScriptEnabled: true });
    await checked(lead, "room-390");
    await record(lead, "Left", { Seat: "1" });
    await lead.getByRole("link", { name: "Late", exact: true }).click();
    await checked(lead, "late-390");
    for (const kind of ["spill", "mix-up", "void", "again", "note"]) {
      await lead.goto(`${origin}/lead/sessions/${fixture.sessionId}/incidents/${kind}`);
      await checked(lead, `${kind}-390`);
    }
  });
});
