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
  type SealedFixture,
  sealedSession,
  unblindSession,
} from "../sealed-session.ts";
import { ballotOn, joined, traysOf } from "../server/taster-sitting.ts";
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

  /** Two tasters sit down; the first locks three sets. */
  const tasting = async (open: SealedFixture) => {
    const [first] = [await joined(house, open), await joined(house, open)];
    for (const tray of (await traysOf(house, open)).slice(0, 3)) {
      await first.post(`/taste/${tray.ordinal}`, ballotOn(tray));
    }
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
      await tasting(open);
      const context = await browser.newContext(options);
      const page = await signedIn(sealed.leadId, context);
      const paths = {
        experiments: "/lead",
        colleagues: "/lead/colleagues",
        "colleague-removal": `/lead/colleagues/${sealed.leadId}/removal`,
        "new-plan": "/lead/experiments/new",
        "plan-complete": "/lead/experiments/whole?saved=yes",
        "plan-gaps": "/lead/experiments/half",
        "plan-sealed": `/lead/experiments/${sealed.experimentId}`,
        "experiment-discarding": "/lead/experiments/whole/discarding",
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
    await page.getByLabel("Name of treatment A").fill("Seven days");
    await page.getByLabel("Name of treatment B").fill("Ten days");
    await page.getByLabel("Coffees, one a line").fill("Sallow\nBramble\nCinder");
    await page.getByText("Ask which cup has more of something…").click();
    await page.getByLabel("Attribute").first().fill("sweet");
    await page.getByRole("button", { name: "Save the plan" }).click();
    expect(await page.getByRole("status").textContent()).toContain("The plan is complete");
    await page.getByRole("button", { name: "Set up the session" }).click();
    expect(await page.locator("#read-back ~ .facts").textContent()).toContain(
      "Which has more sweet?",
    );
    await page.getByRole("button", { name: "Seal the plan" }).click();
    expect(await page.locator(".state").textContent()).toBe("sealed, not open yet");
    await page.getByRole("button", { name: "Open for answers" }).click();
    expect(await page.locator(".state").textContent()).toContain("open");
    await context.close();
  });

  it("follow the room without a reload", async () => {
    const open = await openSession(house);
    const context = await browser.newContext(DESK);
    const page = await signedIn(open.leadId, context);
    await page.goto(`${origin}/lead/sessions/${open.sessionId}/room`);
    await page.getByText("Live: this page follows the room.").waitFor();
    const taster = await joined(house, open);
    await page.getByText("1 of 5 seats taken; 0 of 7 sets saved").waitFor();
    const [tray] = await traysOf(house, open);
    if (tray !== undefined) await taster.post("/taste/1", ballotOn(tray));
    await page.getByText("1 of 5 seats taken; 1 of 7 sets saved").waitFor();
    expect(await page.locator("td.saved").count()).toBe(1);
    await context.close();
  });
});
