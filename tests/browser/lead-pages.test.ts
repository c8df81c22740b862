import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { draftOf } from "../../server/lead/plan-form.ts";
import { addExperiment } from "../../server/store/experiments.ts";
import { addSession } from "../../server/store/sessions.ts";
import { type House, openHouse } from "../app.ts";
import {
  closeSession,
  examplePlan,
  openSession,
  sealedSession,
  unblindSession,
} from "../sealed-session.ts";
import { accessibilityProblems, DESK, launch, listen, PHONE, picture } from "./chromium.ts";

describe("The lead's pages in a browser", () => {
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

  const signedIn = async (leadId: string, context: BrowserContext): Promise<Page> => {
    const token = await makeInvitation(house.deps, { purpose: "sign-in", leadId });
    const page = await context.newPage();
    await page.goto(`${origin}/enter/${token}`);
    await page.getByRole("button", { name: "Sign in" }).click();
    return page;
  };

  /** An experiment with a complete plan that no session is sealed under, and one with a gap. */
  const drafts = async (leadId: string) => {
    const at = "2026-03-02T08:00:00.000Z";
    const common = { copiedFrom: null, createdBy: leadId, at };
    const draft = draftOf(examplePlan);
    await house.deps.store.transaction().execute(async (trx) => {
      await addExperiment(trx, { id: "whole", title: "Longer rest", draft, ...common });
      await addExperiment(trx, {
        id: "half",
        title: "New filter paper",
        draft: { ...draft, title: "", tasters: "many", "overall.margin": "0.3" },
        ...common,
      });
      await addSession(trx, {
        id: "draft",
        experimentId: "whole",
        name: "Friday",
        heldOn: null,
        at,
      });
    });
  };

  const looks = [
    { name: "phone", options: { ...PHONE, colorScheme: "light" } },
    { name: "phone-dark", options: { ...PHONE, colorScheme: "dark" } },
    { name: "desk", options: { ...DESK, colorScheme: "light" } },
    { name: "desk-dark", options: { ...DESK, colorScheme: "dark" } },
  ] as const;

  for (const { name, options } of looks) {
    it(`are accessible and never wider than the window (${name})`, async () => {
      const sealed = await sealedSession(house);
      const open = await openSession(house);
      const done = await openSession(house);
      await closeSession(house, done);
      await unblindSession(house, done);
      const closed = await openSession(house);
      await closeSession(house, closed);
      await drafts(sealed.leadId);
      const context = await browser.newContext(options);
      const page = await signedIn(sealed.leadId, context);
      const paths = {
        experiments: "/lead",
        colleagues: "/lead/colleagues",
        "new-plan": "/lead/experiments/new",
        "plan-complete": "/lead/experiments/whole?saved=yes",
        "plan-gaps": "/lead/experiments/half",
        "plan-sealed": `/lead/experiments/${sealed.experimentId}`,
        "session-draft": "/lead/sessions/draft",
        seal: "/lead/sessions/draft/seal",
        "session-sealed": `/lead/sessions/${sealed.sessionId}`,
        "session-open": `/lead/sessions/${open.sessionId}`,
        room: `/lead/sessions/${open.sessionId}/room`,
        close: `/lead/sessions/${open.sessionId}/closure`,
        "early-key": `/lead/sessions/${open.sessionId}/early-key`,
        unblind: `/lead/sessions/${closed.sessionId}/unblinding`,
        "session-unblinded": `/lead/sessions/${done.sessionId}`,
        key: `/lead/sessions/${done.sessionId}/key`,
      };
      const problems: string[] = [];
      for (const [title, path] of Object.entries(paths)) {
        const answer = await page.goto(origin + path);
        expect([title, answer?.status()]).toEqual([title, 200]);
        const found = await accessibilityProblems(page);
        problems.push(...found.map((problem) => `${title}: ${problem}`));
        const width = await page.evaluate<number>("document.documentElement.scrollWidth");
        if (width > (page.viewportSize()?.width ?? 0)) problems.push(`${title}: ${width} px wide`);
        await picture(page, `lead-${title}-${name}`);
      }
      await context.close();
      expect(problems).toEqual([]);
    });
  }

  it("plan and seal without scripts, from an empty list", async () => {
    const { leadId } = await sealedSession(house);
    const context = await browser.newContext({ ...DESK, javaScriptEnabled: false });
    const page = await signedIn(leadId, context);
    await page.getByRole("link", { name: "New experiment" }).click();
    await page.getByLabel("Name of the experiment").fill("Rest of seven days");
    await page.getByRole("button", { name: "Save the plan" }).click();
    expect(await page.locator(".summary li").count()).toBe(4);
    await page.getByLabel("The question").fill("Do seven days of rest taste different from ten?");
    await page.getByLabel("Treatment A", { exact: true }).fill("Seven days");
    await page.getByLabel("Treatment B", { exact: true }).fill("Ten days");
    await page.getByLabel("Coffees, one a line").fill("Sallow\nBramble\nCinder");
    await page.getByText("Ask which cup has more of something…").click();
    await page.getByLabel("Attribute").first().fill("sweet");
    await page.getByRole("button", { name: "Save the plan" }).click();
    expect(await page.getByRole("status").textContent()).toContain("The plan is complete");
    await page.getByRole("button", { name: "Set up the session" }).click();
    expect(await page.locator("#read-back ~ .facts").textContent()).toContain(
      "Which is more sweet?",
    );
    await page.getByRole("button", { name: "Seal the plan" }).click();
    expect(await page.locator(".state").textContent()).toBe("sealed, not open yet");
    await page.getByRole("button", { name: "Open for answers" }).click();
    expect(await page.locator(".state").textContent()).toContain("open");
    await context.close();
  });

  it("follow the room without a reload", async () => {
    const { sessionId, leadId } = await openSession(house);
    const context = await browser.newContext(DESK);
    const page = await signedIn(leadId, context);
    await page.goto(`${origin}/lead/sessions/${sessionId}/room`);
    await page.getByText("Live: this page follows the room.").waitFor();
    await house.deps.store
      .updateTable("seats")
      .set({ joined_at: "2026-03-02T09:00:00.000Z" })
      .where("number", "=", 3)
      .execute();
    house.deps.live.changed(sessionId);
    await page.getByText("1 of 5 seats taken").waitFor({ timeout: 20_000 });
    expect(await page.locator("tr.tasting th").textContent()).toContain("3");
    await context.close();
  });
});
