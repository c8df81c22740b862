import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { makeLink } from "../../server/lead/links.ts";
import { outlookInWords } from "../../server/lead/outlook-words.ts";
import { kitInput } from "../../server/sealing.ts";
import { brewerPots, pouredCups, trayCups } from "../../server/store/sheets.ts";
import { makeKit } from "../../src/design/kit.ts";
import { stream } from "../../src/design/random.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, otherMethods, type SealedFixture, sealedSession } from "../sealed-session.ts";
import { joined } from "./taster-sitting.ts";

describe("The kit on paper", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  beforeEach(async () => {
    house = await openHouse();
    session = await sealedSession(house, { tasters: 6 });
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const ownSheets = ["labels", "trays", "spares", "cards", "ballots", "poster"] as const;
  const lentSheets = ["pour-sheet", "brew-sheet", "key-sheet"] as const;
  const own = async (name: string, query = "") =>
    (await lead.get(`/lead/sessions/${session.sessionId}/sheets/${name}${query}`)).body;
  const lent = async (shows: (typeof lentSheets)[number]) => {
    const wish = { shows, note: "", days: 3 };
    const url = await makeLink(house.deps, session.sessionId, session.leadId, wish);
    const path = new URL(url).pathname;
    const person = house.visitor();
    await person.get(path);
    await person.post(path, {});
    return (await person.get(path)).body;
  };

  /** What a sheet's text tells: nothing else on it can join one of these to another. */
  const told = async (html: string) => {
    const text = html.replace(/<[^>]+>/g, " ");
    const { store } = house.deps;
    const cups = await pouredCups(store, session.sessionId);
    const pots = await brewerPots(store, session.sessionId);
    const { A, B } = session.plan.treatments;
    return {
      codes: cups.some(({ code }) => new RegExp(`\\b${code}\\b`).test(text)),
      seats: /\b(seat|platz)\s*\d/i.test(text),
      pots: pots.some(
        ({ letter }) =>
          html.includes(`<strong>${letter}</strong>`) ||
          new RegExp(`\\bpot\\s+${letter}\\b`, "i").test(text),
      ),
      treatments: [A, B].some(({ name, description }) =>
        [name, description].some((words) => text.includes(words)),
      ),
      waters: pots.some(({ waterLabel }) => text.includes(waterLabel)),
    };
  };

  it("lets nobody join a treatment to a taster by any one sheet", async () => {
    const table = Object.fromEntries([
      ...(await Promise.all(ownSheets.map(async (name) => [name, await told(await own(name))]))),
      ...(await Promise.all(lentSheets.map(async (name) => [name, await told(await lent(name))]))),
    ]);
    const nothing = { codes: false, seats: false, pots: false, treatments: false, waters: false };
    expect(table).toMatchObject({
      labels: { ...nothing, codes: true },
      trays: { ...nothing, codes: true, seats: true },
      spares: { ...nothing, codes: true },
      cards: { ...nothing, seats: true },
      ballots: { ...nothing, codes: true, seats: true },
      poster: nothing,
      "pour-sheet": { codes: true, seats: false, pots: true, treatments: false, waters: false },
      "brew-sheet": { codes: false, seats: false, pots: true, treatments: true, waters: true },
      "key-sheet": { codes: true, seats: false, pots: true, treatments: true },
    });
  });

  it("lists a pot's codes by number, so that their order says nothing of who gets them", async () => {
    const sheet = await lent("pour-sheet");
    const tables = [...sheet.matchAll(/<table class="sheet pour">.*?<\/table>/gs)];
    expect(tables).toHaveLength(6);
    for (const [table] of tables) {
      const served = table.replace(/Spare:.*/s, "").match(/<\/span>\d{3}/g) ?? [];
      expect(served.length).toBeGreaterThan(1);
      expect(served).toEqual(served.toSorted());
    }
  });

  it("says how much to pour from each pot, with and without its spares", async () => {
    const cups = await pouredCups(house.deps.store, session.sessionId);
    const sheet = await lent("pour-sheet");
    for (const pot of await brewerPots(house.deps.store, session.sessionId)) {
      const all = cups.filter((cup) => cup.coffeeId === pot.coffeeId && cup.letter === pot.letter);
      const served = all.filter(({ spare }) => !spare);
      expect(sheet).toContain(
        `pot <strong>${pot.letter}</strong>: ${served.length} cups, ${15 * served.length} mL; with spares ${15 * all.length} mL`,
      );
    }
  });

  it("prints every set of every seat as a paper ballot, in the phone's own words", async () => {
    const cups = await trayCups(house.deps.store, session.sessionId);
    for (const [language, odd] of [
      ["en", "Two of these cups are the same, one is different. Which one is different?"],
      ["de", "Zwei dieser Tassen sind gleich, eine ist anders. Welche ist anders?"],
    ] as const) {
      const body = await own("ballots", `?language=${language}`);
      const sheets = body.split("<table").slice(1);
      expect(sheets).toHaveLength(7);
      for (const [at, sheet] of sheets.entries()) {
        const codes = cups.filter(({ seat }) => seat === at + 1).map(({ code }) => code);
        for (const code of codes) expect(sheet).toContain(`<span class="box-code">${code}</span>`);
        expect(sheet).toContain(`lang="${language}"`);
        expect(sheet).toContain(odd);
        expect(sheet.match(/class="line-scale"/g)).toHaveLength(6);
      }
    }
    expect((await own("ballots", "?language=all")).split("<table")).toHaveLength(15);
  });

  it("carries the plan's pace on every sheet that needs it, and none where the plan has none", async () => {
    const pace = /within 7 min(utes)? of pouring|45 s/g;
    for (const body of [await own("trays"), await own("ballots"), await lent("pour-sheet")]) {
      expect(body).not.toMatch(pace);
      expect(body).not.toContain("serve by");
    }
    const serving = { palateRestSeconds: 45, windowMinutes: 7 };
    session = await sealedSession(house, { tasters: 2, serving });
    expect((await own("trays")).match(pace)).toHaveLength(6);
    expect((await own("ballots")).match(/7 minutes/g)).toHaveLength(21);
    const pour = await lent("pour-sheet");
    expect(pour.match(pace)).toHaveLength(1);
    expect(pour.match(/serve by/g)).toHaveLength(3);
  });

  it("tells a paper taster the same cautions as a phone", async () => {
    const body = await own("ballots");
    for (const words of ["magnesium chloride", "kidney", "I have read this"]) {
      expect(body).toContain(words);
    }
  });

  it("says beforehand that whoever tastes on paper joins on a phone first", async () => {
    for (const page of [
      await own("ballots"),
      (await lead.get(`/lead/sessions/${session.sessionId}/paper`)).body,
    ]) {
      expect(page).toContain("the desk’s will do, in a private window for each taster");
      expect(page).toContain("cautions and consent are recorded there");
    }
  });

  it("marks the trays of late tasters, and every sheet with the kit's mark", async () => {
    const trays = await own("trays");
    expect(trays.match(/spare, for a late taster/g)).toHaveLength(1);
    const mark = /mark <strong>([0-9a-f]{8})<\/strong>/.exec(
      (await lead.get(`/lead/sessions/${session.sessionId}/links`)).body,
    )?.[1];
    const page = await lead.get(`/lead/sessions/${session.sessionId}`);
    expect(page.body).toMatch(new RegExp(`Commitment[^<]*</dt><dd><code class="link">${mark}`));
    for (const name of ["trays", "spares", "cards", "ballots"]) {
      expect(await own(name)).toContain(
        `kit ${mark}`.replace("kit", name === "spares" ? "Kit" : "kit"),
      );
    }
    for (const name of lentSheets) expect(await lent(name)).toContain(`Kit ${mark}`);
  });

  it("the key sheet holds the hashes that the session's page shows", async () => {
    const page = (await lead.get(`/lead/sessions/${session.sessionId}`)).body;
    const shown = page.match(/\b[0-9a-f]{64}\b/g) ?? [];
    expect(shown).toHaveLength(2);
    const key = await lent("key-sheet");
    for (const hash of shown) expect(key).toContain(hash);
  });

  it("gives whoever scans a card that card's seat, and a free one when it is taken", async () => {
    const seated: string[] = [];
    const sitDown = async (seat: string) => {
      const visitor = house.visitor();
      const page = await visitor.get(`/join/${session.joinCode}?language=en&seat=${seat}`);
      const wish = /name="seat" value="(\d+)"/.exec(page.body)?.[1];
      await visitor.post(`/join/${session.joinCode}`, {
        language: "en",
        name: `Q. ${seated.push(seat)}`,
        consent: "yes",
        ...(wish === undefined ? {} : { seat: wish }),
      });
      return /You have seat (\d+)/.exec((await visitor.get("/taste")).body)?.[1];
    };
    expect(await sitDown("5")).toBe("5");
    expect(await sitDown("5")).toBe("1");
    expect(await sitDown("no number")).toBe("2");
    const other = await joined(house, session);
    expect((await other.get("/taste")).body).toContain("You have seat 3");
  });

  it("refuses a sheet that there is none of", async () => {
    const answer = await lead.get(`/lead/sessions/${session.sessionId}/sheets/key-sheet`);
    expect(answer.statusCode).toBe(404);
  });
});

describe("Spare cups of a pot", () => {
  const sparesOf = (overrides: Partial<typeof examplePlan>) => {
    const input = kitInput({ ...examplePlan, ...overrides });
    const made = makeKit(input, (name) => stream(new Uint8Array(32), name));
    return { spares: input.sparesPerPot, ok: made.ok };
  };

  it.each([
    ["a whole tray for a few tasters", { tasters: 4, spareSeats: 1 }, 3],
    // 40 seats × (5 cups + a third of a control triangle) / 2 pots = 120 cups.
    ["a tenth of what is poured", { tasters: 38, spareSeats: 2 }, 12],
    // 100 seats × 8 cups in the fullest round leave 67 codes for six pots.
    ["as many as the codes leave room for", { tasters: 100, spareSeats: 0 }, 11],
  ])("are %s", (_, plan, spares) => {
    expect(sparesOf(plan)).toEqual({ spares, ok: true });
  });

  it("are counted in when a plan warns that its pots run dry", () => {
    const warnings = (tasters: number) => outlookInWords({ ...examplePlan, tasters }).warnings;
    const dry = "A pot fills about";
    // 21 seats × 6 cups / 2 pots = 63 cups and 7 spares: 1050 mL of the 880 mL that 1000 g leave.
    expect(warnings(20).find((text) => text.startsWith(dry))).toContain(
      "about 70 cups with its spares, 1050 mL, and this recipe leaves about 880 mL",
    );
    expect(warnings(4).filter((text) => text.startsWith(dry))).toEqual([]);
  });

  it("are a whole tray of a same-pot tetrad, and no more where no tray is of one pot", () => {
    const endpoints = otherMethods.find(({ name }) => name === "tetrad")?.endpoints;
    const plan = { tasters: 2, spareSeats: 0, ...(endpoints && { endpoints }) };
    expect(sparesOf(plan)).toEqual({ spares: 4, ok: true });
    const controls = { samePot: 0, sameTreatmentPairsPerCoffee: 0 };
    expect(sparesOf({ ...plan, controls })).toEqual({ spares: 3, ok: true });
  });

  it("stay at three where a round is nearly full", () => {
    expect(sparesOf({ tasters: 107, spareSeats: 0 })).toEqual({ spares: 3, ok: true });
  });
});
