import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type House, openHouse, type Visitor } from "../app.ts";
import { closeSession, openSession, type SealedFixture } from "../sealed-session.ts";
import { logged, textOfPage } from "./incidents-room.ts";
import { ballotOn, firstOf, joined, type Tray, traysOf } from "./taster-sitting.ts";

describe("A paper ballot", () => {
  let house: House;
  let lead: Visitor;
  let fixture: SealedFixture;
  let taster: Visitor;
  let pair: Tray;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    fixture = await openSession(house);
    taster = await joined(house, fixture);
    pair = firstOf(await traysOf(house, fixture), "ab");
  });
  afterEach(() => house.close());

  const path = () => `/lead/sessions/${fixture.sessionId}/paper`;
  const open = (seat: string, set: string) => lead.get(`${path()}?seat=${seat}&set=${set}`);
  const read = async (answers: Record<string, string>) => {
    await open("1", String(pair.ordinal));
    return await lead.post(path(), { seat: "1", set: String(pair.ordinal), ...answers });
  };
  const answers = (score = "40") => {
    const [first = "", second = ""] = pair.codes;
    return { e2: first, e3: second, [`e4-${first}`]: score, [`e4-${second}`]: "7" };
  };
  const ballots = () => house.deps.store.selectFrom("ballots").selectAll().execute();

  it("is asked for in the form's own questions, with the codes that the paper must show", async () => {
    const page = textOfPage((await open("1", String(pair.ordinal))).body);
    expect(page).toContain(`Seat 1, set ${pair.ordinal}: first reading`);
    expect(page).toContain(`The paper must show the cups ${pair.codes.join(", ")}`);
    expect(page).toContain("Which cup do you like better?");
  });

  it("counts once two readings agree, with an event that says where it came from", async () => {
    const first = await read(answers());
    expect(first.statusCode).toBe(303);
    expect((await lead.get(first.headers.location ?? "")).body).toContain("second reading");
    expect(await ballots()).toEqual([]);
    const second = await read(answers());
    expect((await lead.get(second.headers.location ?? "")).body).toContain("Both readings agree");
    expect(await ballots()).toHaveLength(1);
    const [event] = await logged(house, fixture, "ballot-by-desk");
    expect(event?.body).toMatchObject({
      seat: 1,
      ordinal: pair.ordinal,
      from: "paper, read twice",
    });
    const [stored] = await logged(house, fixture, "ballot-stored");
    const [code = "", other = ""] = pair.codes;
    expect(stored?.body.answers).toEqual({
      e2: { chosen: code },
      e3: { chosen: other },
      e4: { scores: { [code]: 40, [other]: 7 } },
    });
  });

  it("that two people read differently is refused at the field, until two readings in a row agree", async () => {
    await read(answers("40"));
    const differs = await read(answers("46"));
    expect(differs.statusCode).toBe(422);
    expect(differs.body).toMatch(/id="e4-\d{3}-error">.*The two readings differ here/s);
    expect(await ballots()).toEqual([]);
    expect((await read(answers("40"))).statusCode).toBe(422);
    expect((await read(answers("40"))).statusCode).toBe(303);
    expect(await ballots()).toHaveLength(1);
  });

  it("with a foreign cup, a gap or an absurd score is refused there, and keeps the rest", async () => {
    const foreign = await read({ ...answers(), e2: "100" });
    expect(foreign.body).toMatch(/id="e2-error">.*isn&#x27;t in this set/s);
    expect(foreign.body).toContain('value="40"');
    const absurd = await read(answers("140"));
    expect(absurd.body).toContain("whole number from 0 to 100");
    const gap = await read({ ...answers(), e3: "" });
    expect(gap.body).toMatch(/id="e3-error">.*Choose a cup/s);
    expect(await house.deps.store.selectFrom("paper_readings").selectAll().execute()).toEqual([]);
  });

  it("needs a taster who has consented, and a set that is still open", async () => {
    for (const [seat, set, field, message] of [
      ["4", "1", "seat", "Nobody has joined on this seat"],
      ["70", "1", "seat", "This session has no seat 70"],
      ["1", "70", "set", "Seat 1 has no set 70"],
      ["", "1", "seat", "Give the number of the seat"],
    ] as const) {
      const { statusCode, body } = await open(seat, set);
      expect([statusCode, body]).toEqual([
        422,
        expect.stringMatching(new RegExp(`id="${field}-error">.*${message}`, "s")),
      ]);
    }
    await taster.post(`/taste/${pair.ordinal}`, ballotOn(pair));
    const answered = await open("1", String(pair.ordinal));
    expect(answered.body).toContain("has been answered already: the first answer stands");
  });

  it("does not wait for a second reading when its taster withdraws", async () => {
    await read(answers());
    await taster.get("/taste/stop");
    await taster.post("/taste/stop", {});
    expect(await house.deps.store.selectFrom("paper_readings").selectAll().execute()).toEqual([]);
    expect((await open("1", String(pair.ordinal))).body).toContain(
      "Nobody has joined on this seat",
    );
  });

  it("comes too late once the session is closed", async () => {
    await read(answers());
    await closeSession(house, fixture);
    const late = await read(answers());
    expect([late.statusCode, late.body]).toEqual([
      422,
      expect.stringContaining("the session is closed"),
    ]);
    expect(await ballots()).toEqual([]);
  });

  it("takes 000 for can't tell where the plan allows it", async () => {
    fixture = await openSession(house, { cannotTellAllowed: true });
    await joined(house, fixture);
    pair = firstOf(await traysOf(house, fixture), "ab");
    await read({ ...answers(), e2: "000" });
    await read({ ...answers(), e2: "000" });
    const [ballot] = await ballots();
    expect(JSON.parse(ballot?.answers_json ?? "")).toMatchObject({ e2: { cannotTell: true } });
  });
});
