import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { brewLog, type PotOnLog } from "../../server/store/brews.ts";
import { eventsOf } from "../../server/store/events.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import {
  closeSession,
  openSession,
  type SealedFixture,
  sealedSession,
  unblindSession,
} from "../sealed-session.ts";

const good = {
  brewer: "North",
  dose_g: "60",
  brew_water_g: "1000",
  beverage_g: "874",
  brew_s: "195",
  tds_percent: "1.38 1.39 1.38",
  sample: "no-addition",
  added_g: "0",
  note: "",
};

describe("The brew log", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  let pots: PotOnLog[];
  let base: string;

  beforeEach(async () => {
    house = await openHouse();
    session = await sealedSession(house);
    lead = await house.signedInLead();
    pots = await brewLog(house.deps.store, session.sessionId);
    base = `/lead/sessions/${session.sessionId}/brews`;
  });
  afterEach(() => house.close());

  const firstPot = () => {
    const [pot] = pots;
    if (pot === undefined) throw new Error("The session has no pots");
    return pot;
  };
  const coffee = (pot: PotOnLog) =>
    session.plan.coffees.find(({ id }) => id === pot.coffeeId)?.name ?? "";

  it("stores a brew by pot letter, shows its extraction, and logs the act", async () => {
    const pot = firstPot();
    await lead.get(`${base}/${pot.potId}`);
    const saved = await lead.post(`${base}/${pot.potId}`, { ...good, water_label: pot.waterLabel });
    expect(saved.statusCode).toBe(303);
    const page = await lead.get(base);
    // 1.38333 % × 874 g ÷ 60 g = 20.15 % by the solute mass balance.
    expect(page.body).toContain("20.15 ±");
    expect(page.body).toContain("1 of 6 pots logged");
    const events = await eventsOf(house.deps.store, session.sessionId);
    expect(events.at(-1)?.kind).toBe("brew-logged");
  });

  it("takes numbers with a decimal comma", async () => {
    const pot = firstPot();
    await lead.get(`${base}/${pot.potId}`);
    await lead.post(`${base}/${pot.potId}`, {
      ...good,
      beverage_g: "874,5",
      tds_percent: "1,38 1,40",
    });
    const [logged] = await brewLog(house.deps.store, session.sessionId);
    expect(logged?.brew?.beverageGrams).toBe(874.5);
    expect(logged?.brew?.tdsReadingsPercent).toEqual([1.38, 1.4]);
  });

  it.each([
    ["3:05", 185],
    ["0:45", 45],
    ["185", 185],
    ["184,6", 184.6],
  ])("takes a brew time of %s, as the log shows it or in seconds", async (typed, seconds) => {
    const pot = firstPot();
    const form = await lead.get(`${base}/${pot.potId}`);
    expect(form.body).toContain("Seconds, or minutes and seconds: 185 or 3:05.");
    await lead.post(`${base}/${pot.potId}`, { ...good, brew_s: typed });
    const [logged] = await brewLog(house.deps.store, session.sessionId);
    expect(logged?.brew?.brewSeconds).toBe(seconds);
    if (seconds > 184) expect((await lead.get(base)).body).toContain(">3:05<");
  });

  it.each(["3:75", "3:5", ":30", "3 min"])("refuses %s as a brew time", async (typed) => {
    const pot = firstPot();
    await lead.get(`${base}/${pot.potId}`);
    const refused = await lead.post(`${base}/${pot.potId}`, { ...good, brew_s: typed });
    expect(refused.statusCode).toBe(422);
    expect(refused.body).toContain(`“${typed}” is no time; write seconds, or minutes and seconds`);
  });

  it.each([
    ["dose_g", "", "Fill this in"],
    ["dose_g", "sixty", "“sixty” is not a number"],
    ["dose_g", "-3", "must be more than 0 g"],
    ["beverage_g", "1200", "More beverage than water and coffee together"],
    ["brew_water_g", "1e9", "“1e9” is not a number"],
    ["tds_percent", "", "Give at least one reading"],
    ["tds_percent", "1.38 x", "“x” is not a number"],
    ["tds_percent", "38", "looks like a slip"],
    ["water_label", "nonsense", "find out which water it got"],
  ])("refuses %s “%s” at its field and keeps what was typed", async (field, value, message) => {
    const pot = firstPot();
    await lead.get(`${base}/${pot.potId}`);
    const answer = await lead.post(`${base}/${pot.potId}`, {
      ...good,
      note: "slow bloom",
      [field]: value,
    });
    expect(answer.statusCode).toBe(422);
    const complaint = new RegExp(`id="${field}-error">.*?</span>(.*?)</p>`).exec(answer.body)?.[1];
    expect(complaint).toContain(message);
    expect(answer.body).toContain("slow bloom");
    const [after] = await brewLog(house.deps.store, session.sessionId);
    expect(after?.brew).toBeNull();
  });

  it("keeps the first record when a brew is changed", async () => {
    const pot = firstPot();
    await lead.get(`${base}/${pot.potId}`);
    await lead.post(`${base}/${pot.potId}`, good);
    await lead.post(`${base}/${pot.potId}`, { ...good, beverage_g: "870" });
    const rows = await house.deps.store.selectFrom("brews").selectAll().execute();
    expect(rows.map((row) => row.attempt)).toEqual([1, 2]);
    const [logged] = await brewLog(house.deps.store, session.sessionId);
    expect(logged?.brew?.beverageGrams).toBe(870);
  });

  it("says nothing about treatments on any of its pages", async () => {
    const pages = [base, `${base}/${firstPot().potId}`, `${base}/import`, `${base}/sheet.csv`];
    for (const page of pages) {
      const { body, statusCode } = await lead.get(page);
      expect(statusCode).toBe(200);
      for (const treatment of Object.values(session.plan.treatments)) {
        expect(body).not.toContain(treatment.name);
        expect(body).not.toContain(treatment.description);
      }
    }
  });

  it("is locked once the key is open", async () => {
    const opened = await openSession(house);
    await closeSession(house, opened);
    await unblindSession(house, opened);
    const [pot] = await brewLog(house.deps.store, opened.sessionId);
    const answer = await lead.post(`/lead/sessions/${opened.sessionId}/brews/${pot?.potId}`, good);
    expect(answer.statusCode).toBe(409);
  });

  describe("imports a sheet", () => {
    const line = (pot: PotOnLog, beverage = "874") =>
      [
        coffee(pot),
        pot.letter,
        pot.waterLabel,
        pot.plannedBrewer,
        "60",
        "1000",
        beverage,
        "195",
        "1.38 1.40",
      ].join(",");
    const heading =
      "coffee,pot,water_label,brewer,dose_g,brew_water_g,beverage_g,brew_s,tds_percent";

    it("previews first and stores all on a second yes", async () => {
      const sheet = [heading, ...pots.map((pot) => line(pot))].join("\n");
      await lead.get(`${base}/import`);
      const preview = await lead.post(`${base}/import`, { sheet, act: "check" });
      expect(preview.body).toContain("All is well: 6 brews to store");
      expect(
        (await brewLog(house.deps.store, session.sessionId)).every((pot) => pot.brew === null),
      ).toBe(true);
      const stored = await lead.post(`${base}/import`, { sheet, act: "store" });
      expect(stored.statusCode).toBe(303);
      expect(
        (await brewLog(house.deps.store, session.sessionId)).every((pot) => pot.brew !== null),
      ).toBe(true);
    });

    it("names every bad row and cell, and imports nothing until all is well", async () => {
      const [one, two, three, ...rest] = pots;
      if (one === undefined || two === undefined || three === undefined) throw new Error("no pots");
      const sheet = [
        heading,
        line(one, "87x4"),
        line(two).replace(coffee(two), "Moonbeam"),
        line(three),
        line(three),
        ...rest.map((pot) => line(pot)),
      ].join("\n");
      await lead.get(`${base}/import`);
      for (const act of ["check", "store"]) {
        const answer = await lead.post(`${base}/import`, { sheet, act });
        expect(answer.statusCode).toBe(422);
        expect(answer.body).toContain("Row 2, beverage_g:</strong> “87x4” is not a number");
        expect(answer.body).toContain(
          "Row 3, coffee:</strong> No coffee of this session is called “Moonbeam”",
        );
        expect(answer.body).toContain("Row 5, pot:</strong> This pot stands in row 4 already");
        expect(answer.body).toContain("87x4,195");
      }
      expect(
        (await brewLog(house.deps.store, session.sessionId)).every((pot) => pot.brew === null),
      ).toBe(true);
    });

    it("reads brew times in minutes and seconds", async () => {
      const sheet = [heading, line(firstPot()).replace(",195,", ",3:15,")].join("\n");
      await lead.get(`${base}/import`);
      await lead.post(`${base}/import`, { sheet, act: "store" });
      const [logged] = await brewLog(house.deps.store, session.sessionId);
      expect(logged?.brew?.brewSeconds).toBe(195);
    });

    it("reads semicolons with decimal commas", async () => {
      const sheet = [heading, line(firstPot(), "874.5")]
        .join("\n")
        .replaceAll(",", ";")
        .replace("874.5", "874,5");
      await lead.get(`${base}/import`);
      const preview = await lead.post(`${base}/import`, { sheet, act: "check" });
      expect(preview.body).toContain("All is well: 1 brew to store");
    });

    it.each([
      ["a picture", "\x89PNG\r\n\0\0\0", "This is no text file"],
      ["a letter", "Dear all,\nthe brews were fine", "This is no brew sheet"],
      ["broken quotes", `${heading}\n"a,b`, "can&#x27;t be read as CSV"],
      ["only a heading", heading, "There is no brew below the heading"],
      ["nothing", "", "This is no brew sheet"],
    ])("says what to do with %s", async (_what, sheet, message) => {
      await lead.get(`${base}/import`);
      const answer = await lead.post(`${base}/import`, { sheet, act: "check" });
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain(message);
    });

    it("takes an uploaded file", async () => {
      const page = await lead.get(`${base}/import`);
      const token = /name="_csrf" value="([^"]+)"/.exec(page.body)?.[1] ?? "";
      const body = new FormData();
      body.set("_csrf", token);
      body.set("act", "check");
      body.set("sheet", "");
      body.set(
        "file",
        new File([`${heading}\n${line(firstPot())}`], "brews.csv", { type: "text/csv" }),
      );
      const request = new Request("http://localhost/", { method: "POST", body });
      const answer = await house.app.inject({
        method: "POST",
        url: `${base}/import`,
        headers: {
          "content-type": request.headers.get("content-type") ?? "",
          cookie: [...lead.cookies]
            .map(([name, value]) => `${name}=${encodeURIComponent(value)}`)
            .join("; "),
        },
        payload: Buffer.from(await request.arrayBuffer()),
      });
      expect(answer.body).toContain("All is well: 1 brew to store");
    });
  });
});
