import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { effects } from "../../src/experiment/incident.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import {
  closeSession,
  openSession,
  type SealedFixture,
  sealedSession,
  unblindSession,
} from "../sealed-session.ts";
import { logged, recordIncident, textOfPage } from "./incidents-room.ts";
import { ballotOn, joined, postByScript, type Tray, traysOf } from "./taster-sitting.ts";

describe("Incidents in the room", () => {
  let house: House;
  let lead: Visitor;
  let fixture: SealedFixture;
  let taster: Visitor;
  let trays: Tray[];
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    fixture = await openSession(house);
    taster = await joined(house, fixture);
    trays = await traysOf(house, fixture);
  });
  afterEach(() => house.close());

  const tray = (ordinal: number) => {
    const found = trays.find((one) => one.ordinal === ordinal);
    if (found === undefined) throw new Error(`The kit has no set ${ordinal}`);
    return found;
  };
  const incident = (kind: string, form: Record<string, string> = {}) =>
    recordIncident(lead, fixture, kind, form);
  const room = async () => (await lead.get(`/lead/sessions/${fixture.sessionId}/room`)).body;

  it("are buttons of the room, each with a form and a page that says its effect beforehand", async () => {
    const page = await room();
    const labels = [...page.matchAll(/href="[^"]*\/incidents\/([a-z-]+)"/g)].map(
      ([, kind]) => kind,
    );
    expect(labels).toEqual([
      "late",
      "left",
      "back",
      "spill",
      "mix-up",
      "void",
      "again",
      "pause",
      "note",
    ]);
    for (const kind of labels) {
      const answer = await lead.get(`/lead/sessions/${fixture.sessionId}/incidents/${kind}`);
      expect(answer.statusCode).toBe(200);
      const effect = Object.entries(effects).find(([name]) => name === kind)?.[1];
      expect(textOfPage(answer.body)).toContain(effect);
      expect(answer.body).not.toContain("<script");
    }
    expect(await logged(house, fixture, "incident-note")).toEqual([]);
  });

  it("show nothing of treatments, coffees or pots on any page or in any event", async () => {
    const [code = ""] = tray(1).codes;
    const [one = "", other = ""] = tray(2).codes;
    await taster.post("/taste/2", ballotOn(tray(2)));
    const spilled = await incident("spill", { seat: "1", code, inWindow: "yes" });
    const mixed = await incident("mix-up", {
      seat: "1",
      code: one,
      otherCode: other,
      resolution: "corrected",
      witness: "K.",
    });
    const voided = await incident("void", { seat: "1", set: "3", reason: "taster unwell" });
    const again = await incident("again", { seat: "1", set: "3" });
    const pages = [spilled, mixed, voided, again].flatMap(({ asked, confirmed }) => [
      textOfPage(asked.body),
      textOfPage(confirmed.body),
    ]);
    // What is poured has a list of its own, by coffee and pot; it says nothing of seats and sets.
    const [before = "", pouring = "", after = ""] = (await room()).split(/<\/?section/);
    expect(pouring).toContain("Pouring");
    expect(pouring).not.toMatch(/seat|\bset\b/i);
    pages.push(textOfPage(before), textOfPage(after));
    const kinds = ["spill", "mix-up", "void", "again"].map((kind) => `incident-${kind}`);
    const found = await Promise.all(kinds.map((kind) => logged(house, fixture, kind)));
    const events = JSON.stringify(found.flat().map(({ body }) => body));
    expect(found.flat()).toHaveLength(4);
    const pots = await house.deps.store.selectFrom("pots").select(["id", "letter"]).execute();
    for (const text of [...pages, events]) {
      for (const name of [
        "Sallow",
        "Bramble",
        "Cinder",
        "brew water",
        "into the pot",
        "c1",
        "same-pot",
      ]) {
        expect(text).not.toContain(name);
      }
      for (const { id, letter } of pots) {
        expect(text).not.toContain(id);
        expect(text).not.toMatch(new RegExp(`(?<![\\w-])${letter}(?![\\w-])`));
      }
    }
    expect(events).not.toContain("K.");
  });

  it("a late taster gets the next seat of the same stream, which the page says", async () => {
    const { asked, recorded } = await incident("late");
    expect(textOfPage(asked.body)).toContain(
      `Seat 2 is next. The taster joins with the code ${fixture.joinCode}`,
    );
    expect(recorded.statusCode).toBe(303);
    await joined(house, fixture);
    const [, second] = await house.deps.store
      .selectFrom("seats")
      .select(["number", "joined_at"])
      .where("joined_at", "is not", null)
      .orderBy("number")
      .execute();
    expect(second?.number).toBe(2);
    expect((await logged(house, fixture, "incident-late"))[0]?.body).toEqual({ seat: 2 });
  });

  it("no late taster is promised a seat when all are taken", async () => {
    for (let seat = 2; seat <= 5; seat += 1) await joined(house, fixture);
    const { asked, recorded } = await incident("late");
    expect(textOfPage(asked.body)).toContain("Every seat is taken");
    expect(recorded.statusCode).toBe(422);
  });

  it("a taster who leaves keeps the sets that were locked and can answer no more, until back", async () => {
    await taster.post("/taste/1", ballotOn(tray(1)));
    const { confirmed, recorded } = await incident("left", { seat: "1" });
    expect(textOfPage(confirmed.body)).toContain("Seat 1 can't answer any more");
    expect(recorded.headers.location).toBe(`/lead/sessions/${fixture.sessionId}/room?recorded=yes`);
    const refused = await postByScript(house, taster, 2, ballotOn(tray(2)));
    expect(refused.json()).toMatchObject({ outcome: "inactive" });
    const voids = await house.deps.store
      .selectFrom("presentations")
      .select("id")
      .where("void_reason", "is not", null)
      .execute();
    expect(voids).toEqual([]);
    expect(await room()).toContain("Seat 1 left; what was locked counts");
    await incident("back", { seat: "1" });
    expect((await postByScript(house, taster, 2, ballotOn(tray(2)))).json()).toMatchObject({
      outcome: "stored",
    });
  });

  it("a spilled cup gets a spare code of its own pot, which the phone shows and takes", async () => {
    const [code = "", ...others] = tray(1).codes;
    const potOf = async (cup: string) =>
      (
        await house.deps.store
          .selectFrom("cups")
          .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
          .innerJoin("seats", "seats.id", "cups.seat_id")
          .select("cup_keys.pot_id")
          .where("cups.code", "=", cup)
          .where("seats.number", "=", 1)
          .executeTakeFirstOrThrow()
      ).pot_id;
    const pot = await potOf(code);
    const { confirmed, recorded } = await incident("spill", { seat: "1", code, inWindow: "yes" });
    const newCode = /poured anew as (\d{3})/.exec(confirmed.body)?.[1] ?? "";
    expect(recorded.statusCode).toBe(303);
    const spare = await house.deps.store
      .selectFrom("spare_cups")
      .select(["pot_id", "used_at"])
      .where("code", "=", newCode)
      .where("pot_id", "=", pot)
      .executeTakeFirst();
    expect(spare).toEqual({ pot_id: pot, used_at: "2026-03-02T09:00:00.000Z" });
    const page = await taster.get("/taste/1");
    expect(page.body).toContain(`value="${newCode}"`);
    expect(page.body).not.toContain(`value="${code}"`);
    expect(page.body).toContain(`Cup ${code} was poured anew. Its number is now ${newCode}.`);
    const stale = await postByScript(
      house,
      taster,
      1,
      ballotOn({ ...tray(1), codes: [code, ...others] }),
    );
    expect(stale.json()).toMatchObject({ outcome: "mend" });
    const fresh = await postByScript(
      house,
      taster,
      1,
      ballotOn({ ...tray(1), codes: [newCode, ...others] }),
    );
    expect(fresh.json()).toMatchObject({ outcome: "stored" });
    expect((await logged(house, fixture, "incident-spill"))[0]?.body).toMatchObject({
      seat: 1,
      ordinal: 1,
      code,
      newCode,
    });
  });

  it("an open phone learns of a new code by a stamp that changes with its trays only", async () => {
    const stamp = async () => (await taster.get("/taste/stamp")).json().message;
    const before = await stamp();
    expect((await taster.get("/taste")).body).toContain(`data-stamp="${before}"`);
    await taster.post("/taste/2", ballotOn(tray(2)));
    expect(await stamp()).toBe(before);
    await incident("spill", { seat: "1", code: tray(1).codes[0] ?? "", inWindow: "yes" });
    expect(await stamp()).not.toBe(before);
  });

  it("a spill is refused at the field when the window has passed, the set is answered or no spare is left", async () => {
    const [code = ""] = tray(1).codes;
    const cold = await incident("spill", { seat: "1", code, inWindow: "no" });
    expect(cold.confirmed.statusCode).toBe(422);
    expect(cold.confirmed.body).toMatch(
      /id="inWindow-error">.*only a pot inside its serving window/is,
    );
    const foreign = await incident("spill", { seat: "1", code: "100", inWindow: "yes" });
    expect(foreign.confirmed.body).toMatch(/id="code-error">.*Seat 1 has no cup 100/s);
    expect(foreign.confirmed.body).toContain('value="100"');
    await house.deps.store
      .updateTable("spare_cups")
      .set({ used_at: "2026-03-02T09:00:00.000Z" })
      .execute();
    const none = await incident("spill", { seat: "1", code, inWindow: "yes" });
    expect(none.recorded.statusCode).toBe(422);
    expect(none.recorded.body).toContain("has no spare code left: void the set instead");
    await taster.post("/taste/1", ballotOn(tray(1)));
    const answered = await incident("spill", { seat: "1", code, inWindow: "yes" });
    expect(answered.confirmed.body).toContain("has been answered, so nothing needs replacing");
    expect(await logged(house, fixture, "incident-spill")).toEqual([]);
  });

  it("a mix-up is corrected on two names only, and the sealed key stays as it is", async () => {
    const [code = "", otherCode = ""] = tray(1).codes;
    const form = { seat: "1", code, otherCode, resolution: "corrected" };
    const keys = () =>
      house.deps.store.selectFrom("cup_keys").selectAll().orderBy("cup_id").execute();
    const sealed = await keys();
    const early = await incident("mix-up", { ...form, witness: "K. L." });
    expect(early.confirmed.body).toMatch(/id="resolution-error">.*nothing to correct/s);
    await taster.post("/taste/1", ballotOn(tray(1)));
    const alone = await incident("mix-up", form);
    expect(alone.confirmed.body).toMatch(/id="witness-error">.*A correction takes two names/s);
    const self = /<option value="([^"]+)"/.exec(alone.asked.body);
    expect(self?.[1]).not.toBe("");
    const elsewhere = await incident("mix-up", {
      ...form,
      otherCode: tray(2).codes[0] ?? "",
      witness: "K.",
    });
    expect(elsewhere.confirmed.body).toMatch(
      /id="otherCode-error">.*is not on the tray that holds/s,
    );
    const { recorded } = await incident("mix-up", { ...form, witness: "K. L." });
    expect(recorded.statusCode).toBe(303);
    expect(await keys()).toEqual(sealed);
    const [kept] = await house.deps.store.selectFrom("mix_ups").selectAll().execute();
    expect(kept).toMatchObject({
      code,
      other_code: otherCode,
      resolution: "corrected",
      witness: "K. L.",
    });
    const [event] = await logged(house, fixture, "incident-mix-up");
    expect(event?.body).toMatchObject({
      code,
      otherCode,
      resolution: "corrected",
      witnessed: true,
      secondLead: null,
    });
    const twice = await incident("mix-up", { ...form, witness: "K. L." });
    expect(twice.confirmed.body).toContain("A mix-up of this set is in the log already");
  });

  it("the second name may be another lead, never oneself", async () => {
    const [code = "", otherCode = ""] = tray(1).codes;
    const form = { seat: "1", code, otherCode, resolution: "corrected" };
    await taster.post("/taste/1", ballotOn(tray(1)));
    const { asked } = await incident("mix-up", form);
    expect(asked.body).toContain(`<option value="${fixture.leadId}"`);
    const leads = await house.deps.store.selectFrom("leads").select("id").execute();
    const own = leads.find(({ id }) => id !== fixture.leadId)?.id ?? "";
    expect(asked.body).not.toContain(`<option value="${own}"`);
    const alone = await incident("mix-up", { ...form, secondLead: own });
    expect(alone.confirmed.body).toMatch(/id="secondLead-error">.*another person/s);
    await incident("mix-up", { ...form, secondLead: fixture.leadId });
    const [event] = await logged(house, fixture, "incident-mix-up");
    expect(event?.body).toMatchObject({ secondLead: fixture.leadId, witnessed: false });
  });

  it("one's own name is no second one: neither typed as a witness nor on another account", async () => {
    const [code = "", otherCode = ""] = tray(1).codes;
    const form = { seat: "1", code, otherCode, resolution: "corrected" };
    await taster.post("/taste/1", ballotOn(tray(1)));
    const leads = await house.deps.store.selectFrom("leads").select(["id", "name"]).execute();
    const own = leads.find(({ id }) => id !== fixture.leadId)?.name ?? "";
    for (const witness of [
      own,
      ` ${own.toUpperCase()} `,
      own.replaceAll(" ", ""),
      `${own[0]} ${own.slice(1)}`,
    ]) {
      const { confirmed, recorded } = await incident("mix-up", { ...form, witness });
      expect([confirmed.statusCode, recorded.statusCode]).toEqual([422, 422]);
      expect(confirmed.body).toMatch(/id="witness-error">.*another person/s);
    }
    await house.deps.store
      .updateTable("leads")
      .set({ name: own.toLowerCase() })
      .where("id", "=", fixture.leadId)
      .execute();
    const twin = await incident("mix-up", { ...form, secondLead: fixture.leadId });
    expect(twin.recorded.statusCode).toBe(422);
    expect(twin.confirmed.body).toMatch(/id="secondLead-error">.*another person/s);
    const two = await incident("mix-up", { ...form, witness: "K. L." });
    expect(two.recorded.statusCode).toBe(303);
  });

  it("a void set needs a listed reason, and its answer is kept but never taken again", async () => {
    const free = await incident("void", { seat: "1", set: "1", reason: "the taster was wrong" });
    expect(free.confirmed.body).toMatch(/id="reason-error">.*Choose a reason from the list/s);
    await incident("void", { seat: "1", set: "1", reason: "foreign smell or taste" });
    expect((await postByScript(house, taster, 1, ballotOn(tray(1)))).json()).toMatchObject({
      outcome: "voided",
    });
    expect((await taster.get("/taste")).body).not.toContain('data-set="1"');
    const again = await incident("void", { seat: "1", set: "1", reason: "foreign smell or taste" });
    expect(again.confirmed.body).toContain("This set is void already");
  });

  it("a void set is served again from spare codes at the end of the seat's list, once", async () => {
    const early = await incident("again", { seat: "1", set: "1" });
    expect(early.confirmed.body).toMatch(/id="set-error">.*Only a void set is served again/s);
    await incident("void", { seat: "1", set: "1", reason: "tray or phone failed" });
    const pots = async (ordinal: number) =>
      (
        await house.deps.store
          .selectFrom("cups")
          .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
          .innerJoin("presentations", "presentations.id", "cups.presentation_id")
          .innerJoin("seats", "seats.id", "cups.seat_id")
          .select("cup_keys.pot_id")
          .where("seats.number", "=", 1)
          .where("presentations.ordinal", "=", ordinal)
          .orderBy("cups.position")
          .execute()
      ).map(({ pot_id }) => pot_id);
    const { recorded } = await incident("again", { seat: "1", set: "1" });
    expect(recorded.statusCode).toBe(303);
    expect(await pots(8)).toEqual(await pots(1));
    const all = await traysOf(house, fixture);
    const last = all.at(-1);
    if (last === undefined) throw new Error("No trays");
    expect(last.ordinal).toBe(8);
    const codes = all.flatMap((one) => one.codes);
    expect(new Set(codes).size).toBe(codes.length);
    expect((await taster.get("/taste")).body).toContain('data-set="8"');
    expect((await taster.post("/taste/8", ballotOn(last))).statusCode).toBe(303);
    const twice = await incident("again", { seat: "1", set: "1" });
    expect(twice.confirmed.body).toContain("has been served again already");
    expect((await house.visitor().get(`/join/${fixture.joinCode}`)).body).toContain("7 sets");
  });

  it("a pause refuses answers kindly, loses nothing, and ends", async () => {
    await incident("pause");
    expect(await room()).toContain("paused: answers wait on the phones");
    expect((await taster.get("/taste")).body).toContain("The tasting is paused.");
    const byScript = await postByScript(house, taster, 1, ballotOn(tray(1), 1));
    expect([byScript.statusCode, byScript.json()]).toEqual([
      409,
      { outcome: "paused", message: expect.stringContaining("Nothing is lost") },
    ]);
    const plain = await taster.post("/taste/1", ballotOn(tray(1), 1));
    expect(plain.statusCode).toBe(409);
    expect(plain.body).toContain("The tasting is paused.");
    expect(plain.body).toContain(
      `name="e1" value="${tray(1).codes[1]}"`.replace(
        "e1",
        tray(1).kind === "triangle" ? "e1" : "e2",
      ),
    );
    expect((await lead.get(`/lead/sessions/${fixture.sessionId}/incidents/pause`)).statusCode).toBe(
      409,
    );
    await incident("resume");
    expect((await taster.post("/taste/1", ballotOn(tray(1), 1))).statusCode).toBe(303);
    expect((await taster.get("/taste")).body).not.toContain("The tasting is paused.");
  });

  it("a note goes into the log and changes nothing else", async () => {
    const empty = await incident("note", { note: " " });
    expect(empty.confirmed.body).toMatch(/id="note-error">.*Write the note/s);
    await incident("note", { note: "The kitchen fan stopped at ten." });
    expect(await room()).toContain("The kitchen fan stopped at ten.");
  });

  it("a seat or set that is not there is refused at its field, and nothing typed is lost", async () => {
    for (const [kind, form, field] of [
      ["left", { seat: "3" }, "seat"],
      ["left", { seat: "77" }, "seat"],
      ["left", { seat: "one" }, "seat"],
      ["void", { seat: "1", set: "40", reason: "taster unwell" }, "set"],
    ] as const) {
      const { confirmed } = await incident(kind, form);
      expect([confirmed.statusCode, confirmed.body.includes(`id="${field}-error"`)]).toEqual([
        422,
        true,
      ]);
      for (const value of Object.values(form)) expect(confirmed.body).toContain(value);
    }
  });

  it("nothing is recorded before its time, nor once the key is open; a mix-up still is after closing", async () => {
    const sealed = await sealedSession(house);
    const early = await lead.get(`/lead/sessions/${sealed.sessionId}/incidents/mix-up`);
    expect(early.statusCode).toBe(409);
    await closeSession(house, fixture);
    const page = await lead.get(`/lead/sessions/${fixture.sessionId}/unblinding`);
    expect(page.body).toContain(`href="/lead/sessions/${fixture.sessionId}/incidents/mix-up"`);
    const closed = await lead.get(`/lead/sessions/${fixture.sessionId}/incidents/mix-up`);
    expect(closed.statusCode).toBe(200);
    await unblindSession(house, fixture);
    const late = await recordIncident(lead, fixture, "void", {
      seat: "1",
      set: "1",
      reason: "taster unwell",
    });
    expect([late.asked.statusCode, late.recorded.statusCode]).toEqual([409, 409]);
    expect(late.asked.body).toContain("The key is open");
  });

  it("are for leads only", async () => {
    const path = `/lead/sessions/${fixture.sessionId}`;
    for (const page of ["incidents/spill", "seat-move", "desk"]) {
      expect((await taster.get(`${path}/${page}`)).statusCode).toBe(303);
      expect((await lead.get(`/lead/sessions/none/${page}`)).statusCode).toBe(404);
    }
    expect((await lead.get(`${path}/incidents/other`)).statusCode).toBe(404);
  });
});

describe("The pace of serving", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  it("is told to tasters and to the lead as the plan has it, and holds nobody to a time", async () => {
    const serving = { palateRestSeconds: 45, windowMinutes: 20 };
    const fixture = await openSession(house, { serving });
    const taster = await joined(house, fixture);
    const page = await taster.get("/taste/1");
    expect(page.body).toContain("Rest for about 45 seconds before each new set.");
    expect(page.body).toContain("at their best within 20 minutes of pouring");
    const room = await lead.get(`/lead/sessions/${fixture.sessionId}/room`);
    expect(room.body).toContain(
      "Cups are served within 20 min of pouring; 45 s of rest between sets.",
    );
    const spill = await lead.get(`/lead/sessions/${fixture.sessionId}/incidents/spill`);
    expect(spill.body).toContain("The plan gives it 20 minutes from pouring.");
    house.wait(3 * 3_600_000);
    const [tray] = await traysOf(house, fixture);
    if (tray === undefined) throw new Error("The kit has no trays");
    expect((await taster.post("/taste/1", ballotOn(tray))).statusCode).toBe(303);
  });

  it("may stay open, as in plans from before it could be set", async () => {
    const fixture = await openSession(house);
    const taster = await joined(house, fixture);
    const page = await taster.get("/taste/1");
    expect(page.body).not.toContain("seconds before each new set");
    const room = await lead.get(`/lead/sessions/${fixture.sessionId}/room`);
    expect(room.body).not.toContain("Cups are served");
  });
});
