import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { checkDigit, readStrip } from "../../src/experiment/strip.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { closeSession, openSession, type SealedFixture, sealedSession } from "../sealed-session.ts";
import { logged, recordIncident, textOfPage } from "./incidents-room.ts";
import { ballotOn, firstOf, joined, postByScript, type Tray, traysOf } from "./taster-sitting.ts";

describe("A seat that moves to another phone", () => {
  let house: House;
  let lead: Visitor;
  let fixture: SealedFixture;
  let old: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    fixture = await openSession(house);
    old = await joined(house, fixture);
  });
  afterEach(() => house.close());

  const path = () => `/lead/sessions/${fixture.sessionId}/seat-move`;
  const codeFor = async (seat: string) => {
    await lead.get(path());
    const made = await lead.post(path(), { seat });
    return /class="join-code">([A-Z0-9]{8})</.exec(made.body)?.[1] ?? "";
  };

  it("takes a code of eight signs once; the old phone's token stops and what arrived stays", async () => {
    const [tray] = await traysOf(house, fixture);
    if (tray === undefined) throw new Error("The kit has no trays");
    await old.post("/taste/1", ballotOn(tray));
    const code = await codeFor("1");
    const other = house.visitor();
    const typed = await other.get(`/join/${code.toLowerCase()}`);
    expect([typed.statusCode, typed.headers.location]).toEqual([303, `/seat/${code}`]);
    expect((await other.get(`/seat/${code}`)).body).toContain("Take seat 1 on this phone?");
    expect((await old.get("/taste")).statusCode).toBe(200);
    const taken = await other.post(`/seat/${code}`, {});
    expect([taken.statusCode, taken.headers.location]).toEqual([303, "/taste"]);
    const page = (await other.get("/taste")).body;
    expect(page).toContain("Seat 1");
    expect(page).not.toContain('data-set="1"');
    expect(
      (
        await postByScript(house, other, 2, ballotOn((await traysOf(house, fixture))[1] ?? tray))
      ).json(),
    ).toMatchObject({ outcome: "stored" });
    const stopped = await old.post("/taste/3", ballotOn(tray));
    expect(stopped.statusCode).toBe(401);
    expect((await other.get(`/seat/${code}`)).statusCode).toBe(404);
    expect(await logged(house, fixture, "seat-moved")).toHaveLength(1);
    expect(JSON.stringify(await logged(house, fixture, "seat-move-offered"))).not.toContain(code);
  });

  it("refuses a code that is old, spent or invented, and seats that nobody has", async () => {
    const code = await codeFor("1");
    house.wait(31 * 60_000);
    const other = house.visitor();
    for (const wrong of [code, "CCCCCC"]) {
      const answer = await other.get(`/seat/${wrong}`);
      expect([answer.statusCode, textOfPage(answer.body)]).toEqual([
        404,
        expect.stringContaining("This code no longer works"),
      ]);
    }
    await other.get(`/join/${fixture.joinCode}`);
    expect((await other.post(`/seat/${code}`, {})).statusCode).toBe(404);
    await lead.get(path());
    const free = await lead.post(path(), { seat: "4" });
    expect([free.statusCode, free.body]).toEqual([
      422,
      expect.stringMatching(/id="seat-error">.*Nobody has taken seat 4/s),
    ]);
  });
});

describe("A trial before the tasting opens", () => {
  let house: House;
  let fixture: SealedFixture;
  let taster: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    fixture = await sealedSession(house);
    taster = await joined(house, fixture);
  });
  afterEach(() => house.close());

  it("asks the plan's questions of invented cups, and stores nothing", async () => {
    expect((await taster.get("/taste")).body).toContain('href="/taste/trial"');
    const page = await taster.get("/taste/trial");
    expect(page.body).toContain("Invented numbers, no cups");
    const events = async () =>
      (await house.deps.store.selectFrom("events").select("hash").execute()).length;
    const before = await events();
    const incomplete = await taster.post("/taste/trial", { key: "k", step: "check" });
    expect(incomplete.statusCode).toBe(422);
    const fields = { e2: "274", e3: "618", "e4-274": "20", "e4-618": "80", comment: "Fine" };
    const checked = await taster.post("/taste/trial", { ...fields, step: "check" });
    expect(checked.body).toContain("Practice set: is this right?");
    expect(checked.body).toContain('action="/taste/trial"');
    const done = await taster.post("/taste/trial", { ...fields, step: "lock" });
    expect(done.body).toContain("Your phone works");
    expect(await house.deps.store.selectFrom("ballots").select("id").execute()).toEqual([]);
    expect(await events()).toBe(before);
  });

  it("is the same for everybody and ends with the opening", async () => {
    const other = await joined(house, fixture, { name: "S." });
    const codes = (body: string) => [...body.matchAll(/value="(\d{3})"/g)].map(([, code]) => code);
    const [one, two] = [await taster.get("/taste/trial"), await other.get("/taste/trial")];
    expect(codes(one.body)).toEqual(codes(two.body));
    const open = await openSession(house);
    const late = await joined(house, open);
    const answer = await late.get("/taste/trial");
    expect([answer.statusCode, answer.headers.location]).toEqual([303, "/taste"]);
  });
});

describe("The read-out strip at the desk", () => {
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

  const stripOf = (groups: readonly (string | number)[]) => {
    const digits = groups.map((group) => String(group).padStart(3, "0"));
    return `${digits.join(" ")} - ${checkDigit(digits.join(""))}`;
  };
  const type = async (strip: string) => {
    await lead.get(`/lead/sessions/${fixture.sessionId}/desk`);
    return await lead.post(`/lead/sessions/${fixture.sessionId}/desk`, { strip });
  };
  const pairStrip = (pair: Tray) => {
    const [first = "", second = ""] = pair.codes;
    return stripOf([1, pair.ordinal, first, second, 40, 7]);
  };
  const ballots = () => house.deps.store.selectFrom("ballots").selectAll().execute();

  it("has the check digit of ISO/IEC 7064, MOD 11,10", () => {
    // From memory: worked values that implementers of the standard publish.
    expect(checkDigit("79462")).toBe("3");
    expect(checkDigit("00200667308")).toBe("5");
    expect(checkDigit("0794")).toBe("5");
  });

  it("tells every single wrong digit", () => {
    const digits = "003001417040";
    const check = checkDigit(digits);
    for (let at = 0; at < digits.length; at += 1) {
      for (const other of "0123456789") {
        if (other === digits[at]) continue;
        const wrong = `${digits.slice(0, at)}${other}${digits.slice(at + 1)}${check}`;
        expect(readStrip(wrong)).toEqual({ ok: false, refusal: "check-digit" });
      }
    }
  });

  it("is stored as the ballot it is, with an event that says it came by the desk", async () => {
    const pair = firstOf(trays, "ab");
    const [first = "", second = ""] = pair.codes;
    const typed = await type(pairStrip(pair));
    expect(typed.headers.location).toBe(
      `/lead/sessions/${fixture.sessionId}/desk?taken=1.${pair.ordinal}`,
    );
    expect((await lead.get(typed.headers.location ?? "")).body).toContain(
      `Seat 1, set ${pair.ordinal} is in`,
    );
    const [ballot] = await ballots();
    expect(JSON.parse(ballot?.answers_json ?? "")).toEqual({
      e2: { chosen: first },
      e3: { chosen: second },
      e4: { scores: { [first]: 40, [second]: 7 } },
    });
    expect(await logged(house, fixture, "ballot-stored")).toHaveLength(1);
    expect((await logged(house, fixture, "ballot-by-desk"))[0]?.body).toMatchObject({
      seat: 1,
      ordinal: pair.ordinal,
    });
    // The phone's own try afterwards is an echo.
    const echo = {
      key: "a-key-of-the-phone",
      step: "lock",
      e2: first,
      e3: second,
      [`e4-${first}`]: "40",
      [`e4-${second}`]: "7",
    };
    expect((await postByScript(house, taster, pair.ordinal, echo)).json()).toMatchObject({
      outcome: "stored",
    });
    expect(await ballots()).toHaveLength(1);
  });

  it("is refused at the field when a digit is wrong, a cup is foreign or the set is none", async () => {
    const triangle = firstOf(trays, "triangle");
    const [code = ""] = triangle.codes;
    const right = stripOf([1, triangle.ordinal, code]);
    const wrongCheck = `${right.slice(0, -1)}${(Number(right.slice(-1)) + 1) % 10}`;
    const foreign = trays.find((tray) => tray !== triangle)?.codes[0] ?? "";
    for (const [strip, message] of [
      [wrongCheck, "The last digit does not fit"],
      ["417", "Type every group"],
      ["", "Type every group"],
      [stripOf([1, triangle.ordinal, foreign]), `cup ${foreign} is not on this tray`],
      [stripOf([1, triangle.ordinal, code, 40]), "another number of answers"],
      [stripOf([1, 60, code]), "no such set"],
      [stripOf([90, 1, code]), "no such set"],
    ] as const) {
      const { statusCode, body } = await type(strip);
      expect([statusCode, body]).toEqual([
        422,
        expect.stringMatching(new RegExp(`id="strip-error">.*${message}`, "s")),
      ]);
      expect(body).toContain(`value="${strip}"`);
    }
    expect(await ballots()).toEqual([]);
  });

  it("doesn't change a set that was answered before, nor come after closing or in a pause", async () => {
    const triangle = firstOf(trays, "triangle");
    await taster.post(`/taste/${triangle.ordinal}`, ballotOn(triangle, 0));
    const differing = stripOf([1, triangle.ordinal, triangle.codes[1] ?? ""]);
    expect((await type(differing)).body).toContain("the first answer stands");
    const pair = firstOf(trays, "ab");
    await recordIncident(lead, fixture, "pause");
    expect((await type(pairStrip(pair))).body).toContain("the session is paused");
    await recordIncident(lead, fixture, "resume");
    await closeSession(house, fixture);
    expect((await type(pairStrip(pair))).body).toContain("the session is closed");
    expect(await ballots()).toHaveLength(1);
  });

  it("takes what a taster had locked before leaving, and nothing after a withdrawal", async () => {
    const pair = firstOf(trays, "ab");
    await recordIncident(lead, fixture, "left", { seat: "1" });
    expect((await type(pairStrip(pair))).statusCode).toBe(303);
    const triangle = firstOf(trays, "triangle");
    await taster.get("/taste/stop");
    await taster.post("/taste/stop", {});
    const late = await type(stripOf([1, triangle.ordinal, triangle.codes[0] ?? ""]));
    expect(late.statusCode).toBe(422);
    expect(await ballots()).toHaveLength(1);
  });
});
