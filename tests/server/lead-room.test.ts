import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { incidentKinds } from "../../src/experiment/incident.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { openSession, type SealedFixture, sealedSession } from "../sealed-session.ts";
import { recordIncident } from "./incidents-room.ts";
import { ballotOn, joined, traysOf } from "./taster-sitting.ts";

describe("The room", () => {
  let house: House;
  let lead: Visitor;
  let fixture: SealedFixture;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    fixture = await openSession(house);
  });
  afterEach(() => house.close());

  const room = () => lead.get(`/lead/sessions/${fixture.sessionId}/room`);

  /** Somebody joins and locks the first set. */
  const answerFirstSet = async () => {
    const taster = await joined(house, fixture);
    const [tray] = await traysOf(house, fixture);
    if (tray === undefined) throw new Error("The kit has no trays");
    expect((await taster.post("/taste/1", ballotOn(tray))).statusCode).toBe(303);
    return tray;
  };

  it("shows a row per seat and a column per set, and what has arrived", async () => {
    const before = (await room()).body;
    expect(before.match(/<th scope="row">/g)).toHaveLength(5);
    expect(before.match(/class="cell waiting"/g)).toHaveLength(5 * 7);
    expect(before).not.toContain(">waiting<");
    expect(before).toContain("0 of 5 seats taken; nobody has joined yet");
    await answerFirstSet();
    const after = (await room()).body;
    expect(after.match(/>saved</g)).toHaveLength(1);
    expect(after.match(/>waiting</g)).toHaveLength(6);
    expect(after).toContain("1 of 5 seats taken; 1 of 7 sets saved");
  });

  it("counts the sets that the grid shows, and says which are void, missing or served again", async () => {
    const tasters = [];
    for (const name of ["T1", "T2", "T3"]) tasters.push(await joined(house, fixture, { name }));
    const summary = async () => /3 of 5 seats taken; [^<]+/.exec((await room()).body)?.[0];
    expect(await summary()).toBe("3 of 5 seats taken; 0 of 21 sets saved");
    for (const tray of await traysOf(house, fixture)) {
      await tasters[0]?.post(`/taste/${tray.ordinal}`, ballotOn(tray));
    }
    await recordIncident(lead, fixture, "void", { seat: "1", set: "1", reason: "taster unwell" });
    expect(await summary()).toBe("3 of 5 seats taken; 6 of 21 sets saved, 1 void");
    await recordIncident(lead, fixture, "again", { seat: "1", set: "1" });
    expect(await summary()).toBe(
      "3 of 5 seats taken; 6 of 22 sets saved (21 planned, 1 served again), 1 void",
    );
    const again = (await traysOf(house, fixture)).at(-1);
    if (again === undefined) throw new Error("The kit has no trays");
    await tasters[0]?.post("/taste/8", ballotOn(again));
    await recordIncident(lead, fixture, "left", { seat: "2" });
    await tasters[2]?.get("/taste/stop");
    await tasters[2]?.post("/taste/stop", {});
    const all =
      "3 of 5 seats taken; 7 of 22 sets saved (21 planned, 1 served again), 8 void, 7 missing from seats that were left";
    expect(await summary()).toBe(all);
    const grid = (await room()).body;
    expect(grid.match(/class="cell saved"/g)).toHaveLength(7);
    expect(grid.match(/class="cell void"/g)).toHaveLength(8);
    const closing = (await lead.get(`/lead/sessions/${fixture.sessionId}/closure`)).body;
    expect(closing).toContain(all);
    expect(closing).toContain("Seat 2: 7 sets missing; left");
    expect(closing).not.toContain("Everyone who took a seat");
  });

  it("says beside each button what it is for, before it is pressed", async () => {
    const { body } = await room();
    const buttons = [...body.matchAll(/incidents\/([\w-]+)" aria-describedby="([\w-]+)">/g)];
    expect(buttons.map(([, kind]) => kind)).toEqual(
      incidentKinds.filter((kind) => kind !== "resume"),
    );
    for (const [, , hint] of buttons) {
      expect(body).toMatch(new RegExp(`<p class="hint" id="${hint}">[A-Z][^<]{15,60}</p>`));
    }
  });

  it("says nothing of any answer or cup, and of coffees only which were poured", async () => {
    await answerFirstSet();
    const { body } = await room();
    const cups = await house.deps.store.selectFrom("cups").select("code").execute();
    for (const { code } of cups) expect(body).not.toContain(`>${code}<`);
    expect(body).not.toContain("Q. R.");
    const [seats = "", pouring = "", log = ""] = body.split(/<\/?section/);
    for (const name of ["Sallow", "Bramble", "Cinder"]) {
      expect(pouring).toContain(`· ${name}</strong>`);
      expect(seats + log).not.toContain(name);
    }
  });

  it("tells the page at once when something changes, and only that", async () => {
    const origin = await house.app.listen({ host: "127.0.0.1", port: 0 });
    const cookie = [...lead.cookies]
      .map(([name, value]) => `${name}=${encodeURIComponent(value)}`)
      .join("; ");
    const stop = new AbortController();
    const response = await fetch(`${origin}/lead/sessions/${fixture.sessionId}/live`, {
      headers: { cookie },
      signal: stop.signal,
    });
    expect(response.headers.get("content-type")).toBe("text/event-stream");
    const reader = response.body?.getReader();
    const read = async () => new TextDecoder().decode((await reader?.read())?.value);
    expect(await read()).toBe(": following\n\n");
    house.deps.live.changed("another session");
    house.deps.live.changed(fixture.sessionId);
    expect(await read()).toBe("event: changed\ndata: {}\n\n");
    stop.abort();
  });

  it("is open to leads only, and not before sealing", async () => {
    for (const page of ["room", "room/grid", "live"]) {
      const path = `/lead/sessions/${fixture.sessionId}/${page}`;
      expect((await house.visitor().get(path)).statusCode).toBe(303);
      expect((await lead.get(`/lead/sessions/none/${page}`)).statusCode).toBe(404);
    }
  });

  it("keeps sessions apart", async () => {
    await answerFirstSet();
    const other = await sealedSession(house);
    const { body } = await lead.get(`/lead/sessions/${other.sessionId}/room`);
    expect(body).toContain("0 of 5 seats taken");
  });
});
