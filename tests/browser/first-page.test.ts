import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { planExperiment } from "../../seed/play.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, openSession, type SealedFixture } from "../sealed-session.ts";
import { brightPlan } from "../server/bright-sitting.ts";
import { recordIncident } from "../server/incidents-room.ts";
import { ballotOn, joined, type Tray, traysOf } from "../server/taster-sitting.ts";
import { DESK, launch, listen } from "./chromium.ts";
import { type PrintedPage, printed } from "./printed.ts";

const PROOF = ["held 2026-03-02", "Plan, SHA-256", "Commitment to the key"];

const room: Partial<Plan> = {
  tasters: 6,
  spareSeats: 2,
  controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
  serving: { servingFromMinutes: 5, windowMinutes: 20 },
};

/** Plans by what makes their first page short or long, and how much of what to keep in mind it surely holds. */
const plans: [string, number, Partial<Plan>][] = [
  ["one coffee", 10, { coffees: examplePlan.coffees.slice(0, 1), brewPairsPerCoffee: 4 }],
  ["three coffees", 6, {}],
  [
    "six coffees and a long question",
    3,
    {
      coffees: ["Sallow", "Bramble", "Cinder", "Petrel", "Anvil", "Marl"].map((name, at) => ({
        id: `c${at + 1}`,
        name: `${name} washed, lot ${at}`,
        roast: "medium",
      })),
      question:
        "Do minerals that are added to the pot after brewing taste any different from the very same minerals added to the brew water beforehand, in filter coffee at sixty grams a litre?",
    },
  ],
];

describe("The first page of a report with much to keep in mind", () => {
  let browser: Browser;
  let house: House;
  let origin: string;
  let lead: Visitor;
  beforeAll(async () => {
    browser = await launch();
    house = await openHouse();
    origin = await listen(house);
    lead = await house.signedInLead();
  }, 60_000);
  afterAll(async () => {
    await browser.close();
    await house.close();
  });

  /** A tray by its place in a seat's sitting. */
  const trayOf = (trays: readonly Tray[], at: number): Tray => {
    const tray = trays[at];
    if (tray === undefined) throw new Error("The kit has too few sets");
    return tray;
  };

  /** Seven join: five answer all their sets, the sixth three and the last one. */
  const tasted = async (fixture: SealedFixture): Promise<Visitor[]> => {
    const tasters: Visitor[] = [];
    for (const [at, sets] of [99, 99, 99, 99, 99, 3, 1].entries()) {
      const taster = await joined(house, fixture);
      for (const tray of (await traysOf(house, fixture, at + 1)).slice(0, sets)) {
        const sent = await taster.post(`/taste/${tray.ordinal}`, ballotOn(tray));
        expect(sent.statusCode).toBe(303);
      }
      tasters.push(taster);
    }
    return tasters;
  };

  /** A session in which everything went wrong that can, with its key opened. */
  const badSitting = async (change: Partial<Plan>): Promise<SealedFixture> => {
    const fixture = await openSession(house, { ...room, ...change });
    const incident = async (kind: string, form: Record<string, string> = {}) => {
      const { recorded } = await recordIncident(lead, fixture, kind, form);
      expect([kind, recorded.statusCode]).toEqual([kind, 303]);
    };
    const tasters = await tasted(fixture);
    const trays = await traysOf(house, fixture, 1);
    const left = await traysOf(house, fixture, 6);
    const [code = "", otherCode = ""] = trayOf(trays, 2).codes;
    const again = { ...ballotOn(trayOf(trays, 0), 1), key: "another-key-of-it-1" };
    await tasters[0]?.post(`/taste/${trayOf(trays, 0).ordinal}`, again);
    const mixUp = { seat: "1", code, otherCode, resolution: "corrected", witness: "K. L." };
    await incident("mix-up", mixUp);
    await incident("spill", { seat: "6", code: trayOf(left, 4).codes[0] ?? "", inWindow: "yes" });
    await incident("pause");
    await incident("resume");
    await incident("void", { seat: "1", set: "4", reason: "taster unwell" });
    await incident("again", { seat: "1", set: "4" });
    await incident("left", { seat: "6" });
    await tasters[6]?.get("/taste/stop");
    await tasters[6]?.post("/taste/stop", {});
    for (const act of ["closure", "unblinding"]) {
      const done = await lead.post(`/lead/sessions/${fixture.sessionId}/${act}`, {});
      expect(done.statusCode).toBe(303);
    }
    return fixture;
  };

  /** A report in the browser, read by the lead. */
  const reportAt = async (path: string): Promise<Page> => {
    const context = await browser.newContext(DESK);
    const cookies = [...lead.cookies].map(([name, value]) => ({
      name,
      value: encodeURIComponent(value),
      url: origin,
    }));
    await context.addCookies(cookies);
    const page = await context.newPage();
    await page.goto(origin + path);
    return page;
  };

  it.each(plans)(
    "holds by itself on A4 and Letter, and the next one goes on: %s",
    async (name, least, plan) => {
      const { sessionId } = await badSitting(plan);
      const page = await reportAt(`/lead/sessions/${sessionId}/report`);
      const cautions = page.locator("#cautions ~ ul > li:visible");
      const bullets = (await cautions.allTextContents()).map(squeezed);
      expect(bullets.length).toBeGreaterThan(15);
      for (const size of ["A4", "Letter"] as const) {
        const [front = "", next = ""] = (await printed(page, size, `first-page-${name}`)).map(
          textOf,
        );
        for (const text of PROOF) {
          expect([size, text, front.includes(squeezed(text))]).toEqual([size, text, true]);
        }
        expect(bullets.slice(0, least).filter((text) => !front.includes(text))).toEqual([]);
        // Those that the first page doesn't hold follow in their order, and none is lost.
        const rest = bullets.slice(bullets.findIndex((text) => !front.includes(text)));
        expect(next).toContain(squeezed("Keep in mind, continued"));
        expect(rest.filter((text) => !next.includes(text))).toEqual([]);
      }
      await page.context().close();
    },
    120_000,
  );

  it("holds by itself too where an outside panel gave the answers", async () => {
    const experimentId = await planExperiment(lead, brightPlan());
    const url = `/lead/experiments/${experimentId}/import`;
    await lead.get(url);
    const rows = Array.from({ length: 8 }, (_, at) => `T${at + 1},${at < 6 ? "B" : "A"}`);
    const sheet = ["taster,chosen", ...rows].join("\n");
    const panel = { sessionName: "Elsewhere", heldOn: "2026-03-02", sheet, act: "store" };
    const stored = await lead.post(url, panel);
    const page = await reportAt(`${stored.headers.location}/report`);
    for (const size of ["A4", "Letter"] as const) {
      const [front = ""] = (await printed(page, size, "first-page-imported")).map(textOf);
      expect(front).toContain(squeezed("An outside panel gave these answers"));
      expect(front).toContain(squeezed("Elsewhere, held 2026-03-02"));
      expect(front).toContain(squeezed("Plan, SHA-256"));
    }
    await page.context().close();
  });
});

function textOf({ texts }: PrintedPage): string {
  return squeezed(texts.map(({ text }) => text).join(""));
}

/** Text without its spaces: a PDF sets them as it likes. */
function squeezed(text: string): string {
  return text.replace(/\s+/g, "");
}
