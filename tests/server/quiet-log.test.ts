import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { step } from "../../seed/play.ts";
import { type House, openHouse } from "../app.ts";
import { openSession } from "../sealed-session.ts";
import { ballotOn, joined, traysOf } from "./taster-sitting.ts";

describe("The log", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  it("stays silent through a whole sitting, its report and every file of it", async () => {
    const fixture = await openSession(house);
    const session = `/lead/sessions/${fixture.sessionId}`;
    const lead = await house.signedInLead();
    const taster = await joined(house, fixture);
    const look = async (...paths: string[]) => {
      for (const path of paths) {
        expect([path, (await lead.get(path)).statusCode]).toEqual([path, 200]);
      }
    };
    await look("/lead", session, `${session}/room`, `${session}/links`, `${session}/brews`);
    for (const tray of await traysOf(house, fixture)) {
      await taster.get("/taste");
      await taster.post(`/taste/${tray.ordinal}`, ballotOn(tray));
    }
    for (const act of ["closure", "unblinding"] as const) {
      expect((await taster.get("/taste")).statusCode).toBe(200);
      await step(lead, fixture.sessionId, act);
    }
    await lead.get(`${session}/afterwards`);
    expect((await taster.get("/taste")).body).toContain("This tasting has closed");
    await lead.post(`${session}/afterwards`, { see: "own-and-headline" });
    expect((await taster.get("/taste")).body).toContain("/taste/afterwards");
    expect((await taster.get("/taste/afterwards")).statusCode).toBe(200);
    const report = `${session}/report`;
    const files = ["report.html", "package.zip", "ballots.csv", "brews.csv", "session.json"];
    await look(session, report, ...files.map((file) => `${report}/${file}`));
    expect((await lead.get(`${report}/nothing`)).statusCode).toBe(404);
    expect(house.logged).toEqual([]);
  });

  it("says what broke, and where", async () => {
    const fixture = await openSession(house);
    const lead = await house.signedInLead();
    await house.deps.store.schema.alterTable("ballots").renameTo("lost").execute();
    const broken = await lead.get(`/lead/sessions/${fixture.sessionId}/room`);
    expect(broken.statusCode).toBe(500);
    expect(house.logged).toEqual([expect.stringContaining("no such table: ballots")]);
  });
});
