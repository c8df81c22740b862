import { strFromU8, unzipSync } from "fflate";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { makeLink } from "../../server/lead/links.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import {
  closeSession,
  examplePlan,
  openSession,
  type SealedFixture,
  unblindSession,
} from "../sealed-session.ts";
import { recordIncident, textOfPage } from "./incidents-room.ts";
import { ballotOn, joined, type Tray, traysOf } from "./taster-sitting.ts";

const COMMENT = "tastes of <wet> slate";
const OTHER = "thin, and then sour";

describe("What tasters wrote", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  let trays: Tray[];
  let tasters: Visitor[];
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    session = await openSession(house, {
      coffees: examplePlan.coffees.slice(0, 1),
      brewPairsPerCoffee: 2,
    });
    trays = [];
    tasters = [];
    for (const [at, comment] of [COMMENT, OTHER].entries()) {
      const taster = await joined(house, session, { name: `Ottokar ${at + 1}` });
      const [tray] = await traysOf(house, session, at + 1);
      if (tray === undefined) throw new Error("The kit is empty");
      await taster.post(`/taste/${tray.ordinal}`, { ...ballotOn(tray), comment });
      trays.push(tray);
      tasters.push(taster);
    }
  });
  afterEach(() => house.close());

  const page = () => `/lead/sessions/${session.sessionId}/comments`;
  const read = async () => (await lead.get(page())).body;
  const openKey = async () => {
    await closeSession(house, session);
    await unblindSession(house, session);
  };

  it("is shown to nobody before the key is open", async () => {
    expect((await lead.get(page())).statusCode).toBe(409);
    expect(await read()).not.toContain(OTHER);
    await closeSession(house, session);
    expect((await lead.get(page())).statusCode).toBe(409);
    expect(await read()).not.toContain(OTHER);
  });

  it("is read by coffee and codes in serving order with what they held, without a name", async () => {
    await openKey();
    const body = await read();
    expect(body).toContain("tastes of &lt;wet&gt; slate");
    expect(body).toContain("<h2>Sallow</h2>");
    expect(body).not.toContain("Ottokar");
    const text = textOfPage(body);
    for (const { codes } of trays) {
      const held = `(?:${examplePlan.treatments.A.name}|${examplePlan.treatments.B.name})`;
      expect(text).toMatch(new RegExp(codes.map((code) => `${code} ${held};`).join(" ")));
    }
    // By code, not by seat.
    const inOrder = trays.toSorted((one, other) =>
      one.codes.join() < other.codes.join() ? -1 : 1,
    );
    const places = inOrder.map(({ codes }) => text.indexOf(` ${codes.join(" ").slice(0, 3)} `));
    expect(places).toEqual(places.toSorted((one, other) => one - other));
    expect(places).not.toContain(-1);
    const report = await lead.get(`/lead/sessions/${session.sessionId}/report`);
    expect(report.body).toContain(`href="${page()}"`);
  });

  it("is for leads only, and in nothing that leaves the house", async () => {
    await openKey();
    for (const visitor of [house.visitor(), ...tasters]) {
      expect((await visitor.get(page())).headers.location).toMatch(/^\/sign-in/);
    }
    const wish = { shows: "report", note: "", days: 7 } as const;
    const link = await makeLink(house.deps, session.sessionId, session.leadId, wish);
    const { pathname } = new URL(link);
    const report = `/lead/sessions/${session.sessionId}/report`;
    const readers = [pathname, `${pathname}/report.html`];
    const files = ["report.html", "ballots.csv", "brews.csv", "session.json"];
    for (const url of [...readers, report, ...files.map((file) => `${report}/${file}`)]) {
      const sent = await lead.get(url);
      expect([url, sent.statusCode]).toEqual([url, 200]);
      expect([url, sent.body.includes(OTHER)]).toEqual([url, false]);
    }
    for (const url of readers) expect((await lead.get(url)).body).not.toContain(page());
    const packed = unzipSync((await lead.get(`${report}/package.zip`)).rawPayload);
    const texts = Object.values(packed).map((bytes) => strFromU8(bytes));
    expect(texts.length).toBeGreaterThan(5);
    expect(texts.filter((text) => text.includes(OTHER))).toEqual([]);
  });

  it("is gone once it is erased", async () => {
    await openKey();
    expect(await read()).toContain(OTHER);
    const erasure = `/lead/sessions/${session.sessionId}/tasters/2/erasure`;
    await lead.get(erasure);
    expect((await lead.post(erasure, {})).statusCode).toBe(303);
    const body = await read();
    expect(body).not.toContain(OTHER);
    expect(body).toContain("slate");
  });

  it("says which sets were voided or mixed up", async () => {
    const [first, second] = trays;
    if (first === undefined || second === undefined) throw new Error("Two have tasted");
    const voided = await recordIncident(lead, session, "void", {
      seat: "1",
      set: String(first.ordinal),
      reason: "taster unwell",
    });
    expect(voided.recorded.statusCode).toBe(303);
    const [code = "", otherCode = ""] = second.codes;
    const form = { seat: "2", code, otherCode, resolution: "corrected", witness: "K. L." };
    const mixedUp = await recordIncident(lead, session, "mix-up", form);
    expect(mixedUp.recorded.statusCode).toBe(303);
    await openKey();
    const text = textOfPage(await read());
    expect(text).toMatch(/slate .*?The set was voided\./);
    expect(text).toMatch(/sour .*?Two of these cups stood on each other’s codes\./);
  });
});
