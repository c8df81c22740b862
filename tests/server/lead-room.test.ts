import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type House, openHouse, type Visitor } from "../app.ts";
import { openSession, type SealedFixture, sealedSession } from "../sealed-session.ts";

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

  /** Seats one taster and stores a ballot on their first set, as the taster's pages do. */
  const answerFirstSet = async (chosen: string) => {
    const { store } = house.deps;
    const seat = await store
      .selectFrom("seats")
      .select("id")
      .where("number", "=", 1)
      .executeTakeFirstOrThrow();
    const at = "2026-03-02T09:10:00.000Z";
    await store.updateTable("seats").set({ joined_at: at }).where("id", "=", seat.id).execute();
    const set = await store
      .selectFrom("presentations")
      .select("id")
      .where("seat_id", "=", seat.id)
      .where("ordinal", "=", 1)
      .executeTakeFirstOrThrow();
    await store
      .insertInto("ballots")
      .values({
        id: "ballot-1",
        presentation_id: set.id,
        idempotency_key: "0123456789abcdef",
        answers_json: JSON.stringify({ e1: { chosen } }),
        received_at: at,
        seconds_on_screen: null,
      })
      .execute();
  };

  it("shows a row per seat and a column per set, and what has arrived", async () => {
    const before = (await room()).body;
    expect(before.match(/<th scope="row">/g)).toHaveLength(5);
    expect(before.match(/class="cell waiting"/g)).toHaveLength(5 * 7);
    expect(before).not.toContain(">waiting<");
    expect(before).toContain("0 of 5 seats taken; 0 of 0 sets saved");
    await answerFirstSet("417");
    const after = (await room()).body;
    expect(after.match(/>saved</g)).toHaveLength(1);
    expect(after.match(/>waiting</g)).toHaveLength(6);
    expect(after).toContain("1 of 5 seats taken; 1 of 7 sets saved");
  });

  it("says nothing of any answer, cup or coffee", async () => {
    const one = "417";
    await answerFirstSet(one);
    const { body } = await room();
    const cups = await house.deps.store.selectFrom("cups").select("code").execute();
    for (const { code } of [...cups, { code: one }]) expect(body).not.toContain(`>${code}<`);
    for (const name of ["Sallow", "Bramble", "Cinder", "ballot-1"])
      expect(body).not.toContain(name);
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
    await answerFirstSet("417");
    const other = await sealedSession(house);
    const { body } = await lead.get(`/lead/sessions/${other.sessionId}/room`);
    expect(body).toContain("0 of 5 seats taken");
  });
});
