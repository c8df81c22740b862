import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { eventsOf } from "../../server/store/events.ts";
import { moveSession } from "../../server/store/sessions.ts";
import { verifyChain } from "../../src/experiment/event.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { closeSession, openSession, type SealedFixture, sealedSession } from "../sealed-session.ts";
import { ballotOn, firstOf, joined, postByScript, type Tray, traysOf } from "./taster-sitting.ts";

describe("Ballots", () => {
  let house: House;
  let fixture: SealedFixture;
  let visitor: Visitor;
  let trays: Tray[];
  let triangle: Tray;
  let pair: Tray;

  beforeEach(async () => {
    house = await openHouse();
    fixture = await openSession(house);
    visitor = await joined(house, fixture);
    trays = await traysOf(house, fixture);
    triangle = firstOf(trays, "triangle");
    pair = firstOf(trays, "ab");
  });
  afterEach(() => house.close());

  const ballots = () => house.deps.store.selectFrom("ballots").selectAll().execute();
  const log = async () =>
    (await eventsOf(house.deps.store, fixture.sessionId)).filter(({ kind }) =>
      kind.startsWith("ballot"),
    );

  it("are stored with their event, and the room is told", async () => {
    let changes = 0;
    house.deps.live.follow(fixture.sessionId, () => {
      changes += 1;
    });
    const answer = await visitor.post(`/taste/${triangle.ordinal}`, {
      ...ballotOn(triangle, 2),
      comment: "Drier",
      seconds: "41",
    });
    expect([answer.statusCode, answer.headers.location]).toEqual([303, "/taste"]);
    const [ballot] = await ballots();
    const answers = { e1: { chosen: triangle.codes[2] } };
    expect(JSON.parse(ballot?.answers_json ?? "")).toEqual(answers);
    expect(ballot).toMatchObject({
      idempotency_key: `a-key-of-the-phone-${triangle.ordinal}`,
      received_at: "2026-03-02T09:00:00.000Z",
      seconds_on_screen: 41,
    });
    const comments = await house.deps.store.selectFrom("comments").selectAll().execute();
    expect(comments).toEqual([{ ballot_id: ballot?.id, text: "Drier" }]);
    const events = await log();
    expect(events).toHaveLength(1);
    expect(events[0]).toMatchObject({
      kind: "ballot-stored",
      actor: expect.stringMatching(/^seat:/),
      body: { ordinal: triangle.ordinal, answers },
    });
    expect(changes).toBe(1);
    expect(verifyChain(await eventsOf(house.deps.store, fixture.sessionId)).ok).toBe(true);
  });

  it("keep how long the taster rested, and that an answer which waited is as old as it says", async () => {
    house.wait(120_000);
    await visitor.post(`/taste/${pair.ordinal}`, { ...ballotOn(pair), rested: "38", ago: "90" });
    expect((await ballots())[0]).toMatchObject({
      received_at: "2026-03-02T09:02:00.000Z",
      answered_at: "2026-03-02T09:00:30.000Z",
      seconds_rested: 38,
    });
    const own = (await visitor.get("/taste/data.json")).json();
    expect(own.sets[0]).toMatchObject({
      answeredAt: "2026-03-02T09:00:30.000Z",
      secondsRested: 38,
    });
  });

  it.each([
    ["nothing", {}, "2026-03-02T09:00:00.000Z", null],
    ["nonsense", { rested: "-3", ago: "soon" }, "2026-03-02T09:00:00.000Z", null],
    ["more than there was time for", { rested: "1", ago: "1" }, null, null],
    ["years", { rested: "99999", ago: "90000000" }, null, null],
  ])("say %s of their pace and are taken all the same", async (_, pace, answeredAt, rested) => {
    await visitor.post(`/taste/${pair.ordinal}`, { ...ballotOn(pair), ...pace });
    expect((await ballots())[0]).toMatchObject({
      answered_at: answeredAt,
      seconds_rested: rested,
    });
  });

  it("are of no known time where they say that they are older than the taster's seat", async () => {
    house.wait(600_000);
    const late = await joined(house, fixture);
    const [first, second] = await traysOf(house, fixture, 2);
    if (first === undefined || second === undefined) throw new Error("Seat 2 has two trays");
    house.wait(60_000);
    await late.post(`/taste/${first.ordinal}`, { ...ballotOn(first), rested: "61", ago: "61" });
    await late.post(`/taste/${second.ordinal}`, { ...ballotOn(second), rested: "60", ago: "60" });
    const kept = (await ballots()).map(({ answered_at, seconds_rested }) => [
      answered_at,
      seconds_rested,
    ]);
    expect(kept).toEqual([
      [null, null],
      ["2026-03-02T09:10:00.000Z", 60],
    ]);
  });

  it("are of no known time where they say that they are older than the opening", async () => {
    const early = await sealedSession(house);
    const taster = await joined(house, early);
    const [tray] = await traysOf(house, early);
    if (tray === undefined) throw new Error("The kit has trays");
    house.wait(60_000);
    const at = house.deps.clock().toISOString();
    await house.deps.store.transaction().execute((trx) => {
      return moveSession(trx, early.sessionId, "open", at);
    });
    house.wait(60_000);
    const pace = { rested: "110", ago: "61" };
    await taster.post(`/taste/${tray.ordinal}`, { ...ballotOn(tray), ...pace });
    expect(await ballots()).toMatchObject([{ answered_at: null, seconds_rested: 110 }]);
  });

  it("hold a choice for each question and a score for each cup of a pair", async () => {
    await visitor.post(`/taste/${pair.ordinal}`, ballotOn(pair, 1));
    const [ballot] = await ballots();
    const [first = "", second = ""] = pair.codes;
    expect(JSON.parse(ballot?.answers_json ?? "")).toEqual({
      e2: { chosen: second },
      e3: { chosen: second },
      e4: { scores: { [first]: 40, [second]: 40 } },
    });
  });

  it("that arrive again are acknowledged and stored once", async () => {
    const fields = { ...ballotOn(triangle), comment: "One\r\ntwo" };
    await visitor.post(`/taste/${triangle.ordinal}`, fields);
    const again = await visitor.post(`/taste/${triangle.ordinal}`, fields);
    expect(again.statusCode).toBe(303);
    const byScript = await postByScript(house, visitor, triangle.ordinal, {
      ...fields,
      comment: "One\ntwo",
    });
    expect([byScript.statusCode, byScript.json()]).toEqual([
      200,
      { outcome: "stored", message: "" },
    ]);
    expect(await ballots()).toHaveLength(1);
    expect(await log()).toHaveLength(1);
  });

  it("that arrive twice at the same moment are stored once", async () => {
    const fields = ballotOn(triangle);
    const answers = await Promise.all(
      Array.from({ length: 8 }, () => postByScript(house, visitor, triangle.ordinal, fields)),
    );
    expect(answers.map(({ statusCode }) => statusCode)).toEqual(Array(8).fill(200));
    expect(await ballots()).toHaveLength(1);
  });

  it("that differ from the first are noted and never counted, and the taster is told", async () => {
    await visitor.post(`/taste/${triangle.ordinal}`, ballotOn(triangle, 0));
    const second = await visitor.post(`/taste/${triangle.ordinal}`, ballotOn(triangle, 1));
    expect(second.statusCode).toBe(409);
    expect(second.body).toContain("Your first answer stands");
    const byScript = await postByScript(house, visitor, triangle.ordinal, ballotOn(triangle, 2));
    expect(byScript.json()).toMatchObject({ outcome: "differs" });
    const stored = await ballots();
    expect(stored).toHaveLength(1);
    expect(JSON.parse(stored[0]?.answers_json ?? "")).toEqual({
      e1: { chosen: triangle.codes[0] },
    });
    expect((await log()).map(({ kind, body }) => [kind, body.answers])).toEqual([
      ["ballot-stored", { e1: { chosen: triangle.codes[0] } }],
      ["ballot-differs", { e1: { chosen: triangle.codes[1] } }],
      ["ballot-differs", { e1: { chosen: triangle.codes[2] } }],
    ]);
  });

  it("with a cup that isn't on the tray are refused at the field", async () => {
    const other = trays.find((tray) => tray.kind === "triangle" && tray !== triangle);
    for (const e1 of [other?.codes[0] ?? "", "12", "cannot-tell"]) {
      const answer = await visitor.post(`/taste/${triangle.ordinal}`, {
        ...ballotOn(triangle),
        e1,
      });
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toMatch(
        new RegExp(`id="s${triangle.ordinal}-e1-error">That cup isn&#x27;t in this set`),
      );
    }
    const byScript = await postByScript(house, visitor, triangle.ordinal, {
      ...ballotOn(triangle),
      e1: other?.codes[0] ?? "",
    });
    expect([byScript.statusCode, byScript.json()]).toEqual([
      422,
      { outcome: "mend", message: expect.stringContaining("compare the numbers") },
    ]);
    expect(await ballots()).toEqual([]);
  });

  it("on another taster's set, or one that doesn't exist, are refused", async () => {
    const stranger = await joined(house, fixture);
    const answer = await stranger.post(`/taste/${triangle.ordinal}`, ballotOn(triangle));
    expect(answer.statusCode).toBe(422);
    for (const ordinal of ["99", "0", "1.5", "x"]) {
      expect((await visitor.post(`/taste/${ordinal}`, ballotOn(triangle))).statusCode).toBe(404);
      expect((await visitor.get(`/taste/${ordinal}`)).statusCode).toBe(404);
    }
    expect(await ballots()).toEqual([]);
  });

  it.each(["101", "150", "−4", "-4", "33,", "33.5"])(
    "with the absurd score %s are refused at its cup and keep the rest",
    async (absurd) => {
      const [first = "", second = ""] = pair.codes;
      const answer = await visitor.post(`/taste/${pair.ordinal}`, {
        ...ballotOn(pair, 1),
        [`e4-${first}`]: absurd,
        [`e4-${second}`]: "",
        comment: "Still here",
      });
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain(`Type a whole number from 0 to 100 for cup ${first}`);
      expect(answer.body).toContain(`Set a number for cup ${second}`);
      expect(answer.body).toContain(`value="${absurd}"`);
      expect(answer.body).toContain("Still here</textarea>");
      expect(answer.body).toMatch(new RegExp(`value="${second}" checked`));
    },
  );

  it("with too long a comment are refused there", async () => {
    const answer = await visitor.post(`/taste/${pair.ordinal}`, {
      ...ballotOn(pair),
      comment: "x".repeat(501),
    });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toMatch(
      new RegExp(`id="s${pair.ordinal}-comment-error">Keep the comment under 500`),
    );
  });

  it("take “can't tell” only where the plan allows it, and never in a triangle", async () => {
    const open = await openSession(house, { cannotTellAllowed: true });
    const other = await joined(house, open);
    const own = await traysOf(house, open);
    const tray = firstOf(own, "ab");
    const passed = await other.post(`/taste/${tray.ordinal}`, {
      ...ballotOn(tray),
      e2: "cannot-tell",
    });
    expect(passed.statusCode).toBe(303);
    const [ballot] = await ballots();
    expect(JSON.parse(ballot?.answers_json ?? "")).toMatchObject({ e2: { cannotTell: true } });
    const odd = firstOf(own, "triangle");
    const forced = await other.get(`/taste/${odd.ordinal}`);
    expect(forced.body).not.toContain("cannot-tell");
    expect((await other.get("/taste")).body).toContain("cannot-tell");
    expect((await visitor.get("/taste")).body).not.toContain("cannot-tell");
    const answer = await other.post(`/taste/${odd.ordinal}`, {
      ...ballotOn(odd),
      e1: "cannot-tell",
    });
    expect(answer.statusCode).toBe(422);
  });

  it("before opening and after closing are refused in clear words", async () => {
    const sealed = await sealedSession(house);
    const early = await joined(house, sealed);
    const [tray] = await traysOf(house, sealed);
    if (tray === undefined) throw new Error("The kit is empty");
    // The waiting page has no form; the confirmation of stopping brings the form's token.
    await early.get("/taste/stop");
    const tooEarly = await early.post(`/taste/${tray.ordinal}`, ballotOn(tray));
    expect([tooEarly.statusCode, tooEarly.body]).toEqual([
      409,
      expect.stringContaining("open yet"),
    ]);
    await visitor.get("/taste");
    await visitor.post(`/taste/${pair.ordinal}`, ballotOn(pair));
    await closeSession(house, fixture);
    await visitor.get("/taste/stop");
    const tooLate = await visitor.post(`/taste/${triangle.ordinal}`, ballotOn(triangle));
    expect([tooLate.statusCode, tooLate.body]).toEqual([
      409,
      expect.stringContaining("An answer came too late"),
    ]);
    const echo = await visitor.post(`/taste/${pair.ordinal}`, ballotOn(pair));
    expect(echo.statusCode).toBe(303);
    expect(await ballots()).toHaveLength(1);
    expect((await visitor.get("/taste")).body).toContain("This tasting has closed");
  });

  it("that are missing are asked for together, in words for several", async () => {
    await visitor.get("/taste");
    const { body } = await visitor.post(`/taste/${pair.ordinal}`, {
      key: "an-unanswered-page",
      step: "check",
    });
    expect(body).toContain("<strong>Please mend these</strong>");
  });

  it("on a set that was voided are refused, and the set is no longer asked", async () => {
    await house.deps.store
      .updateTable("presentations")
      .set({ void_reason: "spilled" })
      .where("ordinal", "=", triangle.ordinal)
      .execute();
    const answer = await visitor.post(`/taste/${triangle.ordinal}`, ballotOn(triangle));
    expect([answer.statusCode, answer.body]).toEqual([
      409,
      expect.stringContaining("This set has been taken out"),
    ]);
    const page = (await visitor.get("/taste")).body;
    expect(page).not.toContain(`data-set="${triangle.ordinal}"`);
    expect(page).toContain('data-total="6"');
  });

  it("without a seat, a form's token or a key are refused", async () => {
    const nobody = house.visitor();
    await nobody.get(`/join/${fixture.joinCode}`);
    const seatless = await nobody.post(`/taste/${triangle.ordinal}`, ballotOn(triangle));
    expect([seatless.statusCode, seatless.body]).toEqual([
      401,
      expect.stringContaining("This phone has no seat"),
    ]);
    const forged = await visitor.post(`/taste/${triangle.ordinal}`, {
      ...ballotOn(triangle),
      _csrf: "forged",
    });
    expect([forged.statusCode, forged.body]).toEqual([
      403,
      expect.stringContaining("This page is out of date"),
    ]);
    const keyless = await visitor.post(`/taste/${triangle.ordinal}`, {
      ...ballotOn(triangle),
      key: "short",
    });
    expect(keyless.statusCode).toBe(400);
    expect(await ballots()).toEqual([]);
  });

  it("are shown once more before they are locked, and can be changed until then", async () => {
    const fields = { ...ballotOn(pair, 1), step: "check", comment: "Rounder" };
    const review = await visitor.post(`/taste/${pair.ordinal}`, fields);
    expect(review.statusCode).toBe(200);
    expect(review.body).toContain("is this right?");
    expect(review.body).toContain(`<dd class="code">${pair.codes[1]}</dd>`);
    expect(review.body).toContain(`${pair.codes[0]}: 40`);
    expect(review.body).toContain("Lock and go on");
    expect(await ballots()).toEqual([]);
    const changed = await visitor.post(`/taste/${pair.ordinal}`, { ...fields, step: "change" });
    expect(changed.body).toMatch(new RegExp(`value="${pair.codes[1]}" checked`));
    expect(changed.body).toContain("Rounder</textarea>");
    await visitor.post(`/taste/${pair.ordinal}`, { ...fields, step: "lock" });
    expect(await ballots()).toHaveLength(1);
    const late = await visitor.get(`/taste/${pair.ordinal}`);
    expect(late.headers.location).toBe("/taste");
  });

  it("of a whole sitting lead from set to set in serving order, to thanks without scores", async () => {
    for (const tray of trays) {
      const page = await visitor.get("/taste");
      const [inView] = /<section class="set" data-set="\d+"[^>]*>/.exec(page.body) ?? [];
      expect(inView).toContain(`data-set="${tray.ordinal}"`);
      expect(inView).not.toContain("hidden");
      await visitor.post(`/taste/${tray.ordinal}`, ballotOn(tray));
    }
    const done = (await visitor.get("/taste")).body;
    expect(done).toContain("Thank you");
    expect(done).toContain("Answered 7 of 7 · received 7 · waiting on this phone 0");
    for (const tray of trays) for (const code of tray.codes) expect(done).not.toContain(code);
  });

  it("stay without a name when their taster leaves after closing", async () => {
    await visitor.post(`/taste/${pair.ordinal}`, { ...ballotOn(pair), comment: "By me" });
    await closeSession(house, fixture);
    expect((await visitor.get("/taste/stop")).body).toContain("Erase your name?");
    expect((await visitor.post("/taste/stop", {})).body).toContain("Your name is erased");
    expect(await ballots()).toHaveLength(1);
    expect(await house.deps.store.selectFrom("comments").selectAll().execute()).toEqual([]);
    expect(await house.deps.store.selectFrom("tasters").selectAll().execute()).toEqual([]);
    const voided = await house.deps.store
      .selectFrom("presentations")
      .select("id")
      .where("void_reason", "is not", null)
      .execute();
    expect(voided).toEqual([]);
  });

  it("are slowed down when one seat floods, not when a room does", async () => {
    const statuses: number[] = [];
    for (let nth = 0; nth < 241; nth += 1) {
      statuses.push((await visitor.post("/taste/99", {})).statusCode);
    }
    expect(new Set(statuses.slice(0, 240))).toEqual(new Set([404]));
    expect(statuses.at(-1)).toBe(429);
    const neighbour = await joined(house, fixture);
    const [tray] = await traysOf(house, fixture, 2);
    if (tray === undefined) throw new Error("The kit is empty");
    expect((await neighbour.post(`/taste/${tray.ordinal}`, ballotOn(tray))).statusCode).toBe(303);
  });
});
