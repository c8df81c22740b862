import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { eventsOf } from "../../server/store/events.ts";
import { countGuesses } from "../../server/taster/code-guesses.ts";
import { verifyChain } from "../../src/experiment/event.ts";
import { type House, openHouse } from "../app.ts";
import { closeSession, openSession, sealedSession } from "../sealed-session.ts";
import { joined } from "./taster-sitting.ts";

describe("Tasters join", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  it("takes a code as people type it and says at the field when it is wrong", async () => {
    const { joinCode } = await openSession(house);
    const visitor = house.visitor();
    const typed = ` ${joinCode.slice(0, 3).toLowerCase()}-${joinCode.slice(3)} `;
    const found = await visitor.get(`/join?code=${encodeURIComponent(typed)}&language=de`);
    expect(found.headers.location).toBe(`/join/${joinCode}?language=de`);
    const wrong = await visitor.get("/join/CCCCCC?language=en");
    expect(wrong.statusCode).toBe(404);
    expect(wrong.body).toMatch(/id="code-error">.*No tasting has this code/);
    expect(wrong.body).toContain('value="CCCCCC"');
    const empty = await visitor.get("/join?code=");
    expect([empty.statusCode, empty.body]).toEqual([
      422,
      expect.stringContaining("Type the code from the poster"),
    ]);
  });

  it("tells everything that a cup may hold, the cautions, what is kept and the way out", async () => {
    const { joinCode, plan } = await openSession(house);
    const page = (await house.visitor().get(`/join/${joinCode}?language=en`)).body;
    for (const substance of plan.substances) expect(page).toContain(substance);
    for (const words of ["kidney or heart condition", "allergy", "caffeine", "7 sets, 18 cups"]) {
      expect(page).toContain(words);
    }
    for (const words of ["What is kept about you", "I want to stop", "rather not taste"]) {
      expect(page).toContain(words);
    }
    expect((await house.visitor().get("/join/sit-out")).body).toContain("Nothing about you");
  });

  it.each([
    ["en", "Allergens: any cup may hold milk, hazelnut.", "No allergen is declared"],
    ["de", "Allergene: Jede Tasse kann enthalten: milk, hazelnut.", "kein Allergen angegeben"],
  ])("tells declared allergens before all else, in %s", async (language, declared, none) => {
    const consentNotes = { en: "House rules", de: "Hausordnung" };
    const fixture = await openSession(house, { allergens: ["milk", "hazelnut"], consentNotes });
    const page = async ({ joinCode }: { joinCode: string }) =>
      (await house.visitor().get(`/join/${joinCode}?language=${language}`)).body;
    const body = await page(fixture);
    const note = consentNotes[language === "de" ? "de" : "en"];
    expect(body.indexOf(declared)).toBeGreaterThan(0);
    expect(body.indexOf(declared)).toBeLessThan(body.indexOf('name="name"'));
    expect(body.indexOf(declared)).toBeLessThan(body.indexOf(note));
    expect(body.indexOf(note)).toBeLessThan(body.indexOf("mg"));
    expect(body).not.toContain(none);
    const without = await page(await openSession(house));
    expect(without).toContain(none);
    expect(without).not.toContain(declared.split(":")[0]);
  });

  it("keeps with the consent a hash that the allergens are part of", async () => {
    const hashUnder = async (allergens?: string[]) => {
      const fixture = await openSession(house, allergens ? { allergens } : {});
      await joined(house, fixture);
      const events = await eventsOf(house.deps.store, fixture.sessionId);
      return events.find(({ kind }) => kind === "taster-joined")?.body.consentHash;
    };
    const [none, milk, again] = [await hashUnder(), await hashUnder(["milk"]), await hashUnder()];
    expect(milk).not.toBe(none);
    expect(again).toBe(none);
  });

  it("warns of hot cups where the plan serves hot, and leaves out salts where there are none", async () => {
    const { joinCode, plan } = await openSession(house, {
      substances: [],
      recipe: { ...(await openSession(house)).plan.recipe, servingTemperatureCelsius: 67 },
    });
    expect(plan.substances).toEqual([]);
    const page = (await house.visitor().get(`/join/${joinCode}?language=en`)).body;
    expect(page).toContain("67 °C and can scald");
    expect(page).not.toContain("kidney");
  });

  it("asks to promise to spit when swallowing every cup would be too much caffeine", async () => {
    const { plan } = await openSession(house);
    const fixture = await openSession(house, { recipe: { ...plan.recipe, millilitresPerCup: 40 } });
    const visitor = house.visitor();
    const page = await visitor.get(`/join/${fixture.joinCode}?language=en`);
    expect(page.body).toContain("I will spit the coffee out, to stay below 200 mg");
    const form = { language: "en", name: "Q. R.", consent: "yes" };
    const refused = await visitor.post(`/join/${fixture.joinCode}`, form);
    expect([refused.statusCode, refused.body]).toEqual([
      422,
      expect.stringMatching(/id="spit-error">Tick this/),
    ]);
    const taken = await visitor.post(`/join/${fixture.joinCode}`, { ...form, spit: "yes" });
    expect(taken.statusCode).toBe(303);
  });

  it("gives no seat without a name and consent, and keeps what was typed", async () => {
    const { joinCode } = await openSession(house);
    const visitor = house.visitor();
    await visitor.get(`/join/${joinCode}`);
    const nameless = await visitor.post(`/join/${joinCode}`, { language: "en", consent: "yes" });
    expect(nameless.statusCode).toBe(422);
    expect(nameless.body).toMatch(/id="name-error">Type your name/);
    expect(nameless.body).toMatch(/name="consent" value="yes" checked/);
    const unwilling = await visitor.post(`/join/${joinCode}`, { language: "en", name: "Q. R." });
    expect(unwilling.body).toMatch(/id="consent-error">Tick this/);
    expect(unwilling.body).toContain('value="Q. R."');
    expect(await house.deps.store.selectFrom("tasters").selectAll().execute()).toEqual([]);
  });

  it("keeps name and consent apart from the log, and only a hash of the phone's token", async () => {
    const fixture = await openSession(house);
    const changes: string[] = [];
    house.deps.live.follow(fixture.sessionId, () => changes.push("changed"));
    const visitor = await joined(house, fixture);
    expect(changes).toHaveLength(1);
    const taster = await house.deps.store.selectFrom("tasters").selectAll().executeTakeFirst();
    expect(taster).toMatchObject({ alias: "Q. R.", language: "en" });
    const events = await eventsOf(house.deps.store, fixture.sessionId);
    const join = events.find((event) => event.kind === "taster-joined");
    expect(join?.body).toEqual({ seat: 1, consentHash: taster?.consent_hash });
    expect(JSON.stringify(events)).not.toContain("Q. R.");
    expect(verifyChain(events).ok).toBe(true);
    const seat = await house.deps.store
      .selectFrom("seats")
      .select("token_hash")
      .where("number", "=", 1)
      .executeTakeFirst();
    const token = (visitor.cookies.get("evenpour_seat") ?? "").split(".")[0] ?? "";
    expect(token).toHaveLength(32);
    expect(seat?.token_hash).not.toContain(token);
  });

  it("marks the seat's cookie for this site and for the server only", async () => {
    const { joinCode } = await openSession(house);
    const visitor = house.visitor();
    await visitor.get(`/join/${joinCode}`);
    const form = { language: "en", name: "Q. R.", consent: "yes" };
    const answer = await visitor.post(`/join/${joinCode}`, form);
    const cookie = answer.cookies.find(({ name }) => name === "evenpour_seat");
    expect(cookie).toMatchObject({ httpOnly: true, sameSite: "Lax", path: "/" });
  });

  it.each([
    ["en", "Somebody here has this name already: add a letter"],
    ["de", "Diesen Namen hat hier schon jemand: Häng einen Buchstaben an"],
  ])("lets the second of one name know it at the field, in %s", async (language, words) => {
    const fixture = await openSession(house);
    const other = await openSession(house);
    await joined(house, fixture, { name: "Ute K." });
    const visitor = house.visitor();
    await visitor.get(`/join/${fixture.joinCode}?language=${language}`);
    const form = { language, name: " ute  k.", consent: "yes" };
    const answer = await visitor.post(`/join/${fixture.joinCode}`, form);
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toMatch(new RegExp(`id="name-error">${words}`));
    expect(answer.body).toContain('value=" ute  k."');
    expect(answer.body).toMatch(/name="consent" value="yes" checked/);
    expect((await visitor.post(`/join/${other.joinCode}`, form)).statusCode).toBe(303);
    const letter = house.visitor();
    await letter.get(`/join/${fixture.joinCode}`);
    const mended = await letter.post(`/join/${fixture.joinCode}`, { ...form, name: "Ute K. M." });
    expect(mended.statusCode).toBe(303);
  });

  it("gives one of two of one name who join at once a seat, and a name free again once withdrawn", async () => {
    const fixture = await openSession(house);
    const form = { language: "en", name: "Ute", consent: "yes" };
    const visitors = [house.visitor(), house.visitor()];
    for (const visitor of visitors) await visitor.get(`/join/${fixture.joinCode}?language=en`);
    const answers = await Promise.all(
      visitors.map((visitor) => visitor.post(`/join/${fixture.joinCode}`, form)),
    );
    const codes = answers.map(({ statusCode }) => statusCode);
    expect(codes.toSorted()).toEqual([303, 422]);
    const [seated, waiting] = codes[0] === 303 ? visitors : visitors.toReversed();
    await seated?.get("/taste/stop");
    await seated?.post("/taste/stop", {});
    expect((await waiting?.post(`/join/${fixture.joinCode}`, form))?.statusCode).toBe(303);
  });

  it("brings a phone that joins again back to its own seat", async () => {
    const fixture = await openSession(house);
    const visitor = await joined(house, fixture);
    const again = await visitor.get(`/join/${fixture.joinCode}`);
    expect([again.statusCode, again.headers.location]).toEqual([303, "/taste"]);
    const seats = await house.deps.store
      .selectFrom("seats")
      .select("id")
      .where("token_hash", "is not", null)
      .execute();
    expect(seats).toHaveLength(1);
  });

  it("gives each of many at once a seat of their own, and says so when none is left", async () => {
    const fixture = await openSession(house, { tasters: 4, spareSeats: 1 });
    const form = { language: "en", consent: "yes" };
    const visitors = Array.from({ length: 6 }, () => house.visitor());
    const answers = await Promise.all(
      visitors.map(async (visitor, at) => {
        await visitor.get(`/join/${fixture.joinCode}?language=en`);
        return await visitor.post(`/join/${fixture.joinCode}`, { ...form, name: `T${at}` });
      }),
    );
    expect(answers.map(({ statusCode }) => statusCode).toSorted()).toEqual([
      303, 303, 303, 303, 303, 409,
    ]);
    const full = answers.find(({ statusCode }) => statusCode === 409);
    expect(full?.body).toContain("Every seat is taken");
    const tasters = await house.deps.store.selectFrom("tasters").select("seat_id").execute();
    expect(new Set(tasters.map((taster) => taster.seat_id)).size).toBe(5);
    const late = await house.visitor().get(`/join/${fixture.joinCode}?language=en`);
    expect([late.statusCode, late.body]).toEqual([409, full?.body]);
  });

  it("seats tasters before the session opens, on a page that refreshes itself", async () => {
    const fixture = await sealedSession(house);
    const visitor = await joined(house, fixture);
    const waiting = await visitor.get("/taste");
    expect(waiting.body).toContain("You have seat 1");
    expect(waiting.body).toContain('<noscript><meta http-equiv="refresh"');
  });

  it("lets nobody join a session that has closed", async () => {
    const fixture = await openSession(house);
    await closeSession(house, fixture);
    const answer = await house.visitor().get(`/join/${fixture.joinCode}?language=en`);
    expect([answer.statusCode, answer.body]).toEqual([
      409,
      expect.stringContaining("Nobody can join it any more"),
    ]);
  });

  it("slows guessing down after sixty wrong codes, and still lets a right one in", async () => {
    const { joinCode } = await openSession(house);
    const visitor = house.visitor();
    const statuses = new Set<number>();
    for (let guess = 0; guess < 60; guess += 1) {
      statuses.add((await visitor.get("/join/CCCCCC")).statusCode);
    }
    expect([...statuses]).toEqual([404]);
    const over = await visitor.get("/join/CCCCCC?language=en");
    expect([over.statusCode, over.body]).toEqual([
      429,
      expect.stringContaining("Many wrong codes have come from here"),
    ]);
    const started = performance.now();
    expect((await visitor.get(`/join/${joinCode}`)).statusCode).toBe(200);
    expect(performance.now() - started).toBeGreaterThan(900);
    house.wait(60_000);
    expect((await visitor.get("/join/CCCCCC")).statusCode).toBe(404);
  });

  it("looks up the codes of one address one at a time, turns away a crowd, and holds up nobody else", async () => {
    const guesses = countGuesses(house.deps.clock, 20);
    const right = async () => "a session";
    const wrong = async () => undefined;
    const first = await Promise.all(Array.from({ length: 61 }, () => guesses.lookUp("a", wrong)));
    expect(first.filter((guess) => !guess.ok && guess.refusal === "wrong")).toHaveLength(60);
    const started = performance.now();
    const moments: number[] = [];
    const crowd = await Promise.all(
      Array.from({ length: 25 }, async () => {
        const guess = await guesses.lookUp("a", right);
        if (guess.ok) moments.push(performance.now() - started);
        return guess;
      }),
    );
    expect(crowd.filter(({ ok }) => ok)).toHaveLength(20);
    expect(crowd.at(-1)).toEqual({ ok: false, refusal: "crowded" });
    // A timer may ring a millisecond early.
    moments.forEach((moment, place) => {
      expect(moment).toBeGreaterThan((place + 1) * 19 - 1);
    });
    expect(await guesses.lookUp("b", right)).toEqual({ ok: true, found: "a session" });
  });

  it("voids the answers and erases the name of who stops before closing, at one confirmation", async () => {
    const fixture = await openSession(house);
    const visitor = await joined(house, fixture);
    expect((await visitor.get("/taste")).body).toContain('href="/taste/stop"');
    await visitor.get("/taste/stop");
    const stopped = await visitor.post("/taste/stop", {});
    expect(stopped.body).toContain("your answers don't count".replace("'", "&#x27;"));
    const voided = await house.deps.store
      .selectFrom("presentations")
      .select("id")
      .where("void_reason", "=", "withdrawn")
      .execute();
    expect(voided).toHaveLength(7);
    expect(await house.deps.store.selectFrom("tasters").selectAll().execute()).toEqual([]);
    const events = await eventsOf(house.deps.store, fixture.sessionId);
    expect(events.at(-1)).toMatchObject({ kind: "taster-withdrew", body: {} });
    expect((await visitor.get("/taste")).headers.location).toBe("/join");
    await joined(house, fixture);
    const seats = await house.deps.store
      .selectFrom("seats")
      .innerJoin("tasters", "tasters.seat_id", "seats.id")
      .select("seats.number")
      .execute();
    expect(seats).toEqual([{ number: 2 }]);
  });
});
