import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { readConfig } from "../../server/config.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { closeSession, openSession, unblindSession } from "../sealed-session.ts";

describe("The roastery's name", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const named = async () => {
    const fixture = await openSession(house);
    const session = `/lead/sessions/${fixture.sessionId}`;
    const poster = (await lead.get(`${session}/sheets/poster`)).body;
    await closeSession(house, fixture);
    await unblindSession(house, fixture);
    const report = (await lead.get(`${session}/report`)).body;
    return [poster, report, (await lead.get(`${session}/report/report.html`)).body];
  };

  it("stands on the join poster, the report and the report that is saved", async () => {
    house.deps.roastery = "Kiln & Kettle";
    for (const page of await named()) expect(page).toContain("Kiln &amp; Kettle</");
  });

  it("leaves no trace where none is set", async () => {
    const [poster = "", ...reports] = await named();
    expect(poster).not.toContain("<strong></strong>");
    for (const report of reports) expect(report).not.toContain('class="house"');
  });

  it("is a setting that may stay empty, of at most 80 characters", () => {
    const read = (name: string) => {
      const outcome = readConfig([], { EVENPOUR_ROASTERY: name });
      return outcome.ok ? outcome.config.roastery : outcome.message;
    };
    expect([read(""), read(" Kiln & Kettle ")]).toEqual(["", "Kiln & Kettle"]);
    expect(read("K".repeat(81))).toContain("--roastery (EVENPOUR_ROASTERY)");
  });
});
