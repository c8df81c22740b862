import type { Browser } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { addSession } from "../../server/store/sessions.ts";
import { type House, openHouse } from "../app.ts";
import { closeSession, openSession, sealedSession } from "../sealed-session.ts";
import { ballotOn, joined, traysOf } from "../server/taster-sitting.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

const consentNotes = { en: "Guests under 18 taste with a parent only." };

describe("Amending, discarding and erasing in a browser", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  beforeAll(async () => {
    browser = await launch();
  });
  afterAll(() => browser.close());
  beforeEach(async () => {
    house = await openHouse();
    origin = await listen(house);
  });
  afterEach(() => house.close());

  const signedIn = async (leadId: string, look: Parameters<Browser["newContext"]>[0]) => {
    const context = await browser.newContext(look);
    const page = await context.newPage();
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId });
    await page.goto(`${origin}/enter/${token}`);
    await page.getByRole("button", { name: "Sign in" }).click();
    return page;
  };
  const looks = [
    { name: "phone", options: { ...PHONE, colorScheme: "light" } },
    { name: "phone-dark", options: { ...PHONE, colorScheme: "dark" } },
    { name: "desk", options: { ...DESK, colorScheme: "light" } },
    { name: "desk-dark", options: { ...DESK, colorScheme: "dark" } },
  ] as const;

  for (const { name, options } of looks) {
    it(`pages are accessible and never wider than the window (${name})`, async () => {
      const sealed = await sealedSession(house, { consentNotes });
      const open = await openSession(house);
      const taster = await joined(house, open, { name: "Ottokar" });
      for (const tray of (await traysOf(house, open)).slice(0, 2)) {
        await taster.post(`/taste/${tray.ordinal}`, { ...ballotOn(tray), comment: "wet slate" });
      }
      const at = "2026-03-02T08:00:00.000Z";
      await house.deps.store.transaction().execute((trx) =>
        addSession(trx, {
          id: "draft",
          experimentId: sealed.experimentId,
          name: "Friday",
          heldOn: null,
          at,
        }),
      );
      const page = await signedIn(sealed.leadId, options);
      const paths = {
        amendment: `/lead/sessions/${sealed.sessionId}/amendment`,
        discarding: "/lead/sessions/draft/discarding",
        links: `/lead/sessions/${sealed.sessionId}/links`,
        tasters: `/lead/sessions/${open.sessionId}/tasters`,
        erasure: `/lead/sessions/${open.sessionId}/tasters/1/erasure`,
        "session-sealed": `/lead/sessions/${sealed.sessionId}`,
        join: `/join/${sealed.joinCode}?seat=2&language=en`,
      };
      const problems: string[] = [];
      const look = async (title: string) => {
        const found = await accessibilityProblems(page);
        problems.push(...found.map((problem) => `${title}: ${problem}`));
        const width = await page.evaluate<number>("document.documentElement.scrollWidth");
        if (width > (page.viewportSize()?.width ?? 0)) problems.push(`${title}: ${width} px wide`);
        await picture(page, `${title}-${name}`);
      };
      for (const [title, path] of Object.entries(paths)) {
        const answer = await page.goto(origin + path);
        expect([title, answer?.status()]).toEqual([title, 200]);
        await look(title);
      }
      await page.goto(origin + paths.amendment);
      await page.getByLabel("Why it is amended").fill("Two more will come");
      await page.getByLabel("Tasters", { exact: true }).fill("6");
      await page.getByRole("button", { name: "Show what it changes" }).click();
      await page.getByText("Throw every printed paper away").waitFor();
      await look("amendment-review");
      await closeSession(house, open);
      for (const [cookie, value] of taster.cookies) {
        await page.context().addCookies([{ name: cookie, value, url: origin }]);
      }
      await page.goto(`${origin}/taste/data`);
      await page.getByText("wet slate").first().waitFor();
      await look("taste-data");
      await page.context().close();
      expect(problems).toEqual([]);
    });
  }

  it("amends a plan without scripts, from the session's page to the session's page", async () => {
    const sealed = await sealedSession(house);
    const page = await signedIn(sealed.leadId, { ...DESK, javaScriptEnabled: false });
    await page.goto(`${origin}/lead/sessions/${sealed.sessionId}`);
    await page.getByRole("link", { name: "Amend the plan" }).click();
    await page.getByRole("button", { name: "Show what it changes" }).click();
    expect(await page.locator(".summary li").count()).toBe(1);
    await page.getByLabel("Why it is amended").fill("A slip of the pen");
    await page.getByLabel("The question").fill("Does it taste different?");
    await page.getByRole("button", { name: "Show what it changes" }).click();
    await page.getByRole("button", { name: "Change it further" }).click();
    expect(await page.getByLabel("The question").inputValue()).toBe("Does it taste different?");
    await page.getByRole("button", { name: "Show what it changes" }).click();
    await page.getByRole("button", { name: "Seal the amended plan" }).click();
    expect(await page.locator(".state").textContent()).toBe("sealed, not open yet");
    await page.context().close();
  });

  it("erases a taster at one confirmation", async () => {
    const open = await openSession(house);
    await joined(house, open, { name: "Ottokar" });
    const page = await signedIn(open.leadId, DESK);
    await page.goto(`${origin}/lead/sessions/${open.sessionId}/tasters`);
    await page.getByRole("link", { name: "Erase… seat 1" }).click();
    await page.getByRole("button", { name: "Erase name and comments" }).click();
    await page.getByText("name and comments are erased").waitFor();
    expect(await page.getByText("Ottokar").count()).toBe(0);
    await page.context().close();
  });
});
