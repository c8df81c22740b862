import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type House, openHouse, type Visitor } from "../app.ts";
import { openSession, type SealedFixture } from "../sealed-session.ts";
import { joined, type Tray, traysOf } from "./taster-sitting.ts";

describe("Requests that no phone of ours would send", () => {
  let house: House;
  let fixture: SealedFixture;
  let visitor: Visitor;
  let others: Tray[];
  let csrf: string;

  beforeAll(async () => {
    house = await openHouse();
    fixture = await openSession(house);
    visitor = await joined(house, fixture);
    await joined(house, fixture);
    others = await traysOf(house, fixture, 2);
    const page = await visitor.get("/taste/stop");
    csrf = /name="_csrf" value="([^"]+)"/.exec(page.body)?.[1] ?? "";
  });
  afterAll(() => house.close());

  const names = fc.constantFrom(
    ...["key", "step", "comment", "seconds", "e1", "e2", "e3", "e4", "e4-417", "e9"],
    ...["__proto__", "constructor", "name", "consent", "language", "spit", "code"],
  );
  const foreignCode = fc.nat(20).map((at) => others.flatMap(({ codes }) => codes)[at] ?? "417");
  const value = fc.oneof(
    fc.constantFrom("lock", "check", "change", "cannot-tell", "yes", "a-key-of-the-phone-1"),
    fc.string({ unit: "binary", maxLength: 600 }),
    foreignCode,
    fc.jsonValue(),
  );
  const body = fc
    .tuple(
      fc.constantFrom({}, { key: "a-key-of-the-phone-1" }),
      fc.array(fc.tuple(names, value), { maxLength: 8 }),
    )
    .map(([base, fields]) => ({ ...base, ...Object.fromEntries(fields) }));
  const address = fc.oneof(
    { weight: 5, arbitrary: fc.integer({ min: 0, max: 8 }).map((set) => `/taste/${set}`) },
    fc.webSegment().map((segment) => `/taste/${segment}`),
    fc.webSegment().map((segment) => `/join/${segment}`),
    fc.constantFrom("/join", "/taste"),
  );
  const accept = fc.constantFrom("application/json", "text/html", "*/*");

  async function send(method: "GET" | "POST", url: string, payload: object, accepts: string) {
    const cookie = [...visitor.cookies].map(
      ([name, token]) => `${name}=${encodeURIComponent(token)}`,
    );
    const headers = { accept: accepts, cookie: cookie.join("; ") };
    const sent = method === "POST" ? { payload: { ...payload, _csrf: csrf } } : {};
    return await house.app.inject({ method, url, headers, ...sent });
  }

  it("never break anything, and write nobody else's ballot", async () => {
    const statuses = new Map<number, number>();
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom("GET", "POST"),
        address,
        body,
        accept,
        async (...request) => {
          // A minute later each time, so that no guess of a join code is slowed down.
          house.wait(60_000);
          const { statusCode } = await send(...request);
          statuses.set(statusCode, (statuses.get(statusCode) ?? 0) + 1);
          expect(statusCode).toBeLessThan(500);
        },
      ),
      // No more, so that the limit of a seat's rate hides nothing.
      { numRuns: 600, seed: 20_260_302 },
    );
    expect(statuses.get(429)).toBeUndefined();
    // The requests went beyond the first door: some were answered at the fields of a form.
    expect(statuses.get(422) ?? 0).toBeGreaterThan(20);
    const foreign = await house.deps.store
      .selectFrom("ballots")
      .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
      .innerJoin("seats", "seats.id", "presentations.seat_id")
      .select("seats.number")
      .where("seats.number", "!=", 1)
      .execute();
    expect(foreign).toEqual([]);
    const session = await house.deps.store
      .selectFrom("sessions")
      .select("state")
      .where("id", "=", fixture.sessionId)
      .executeTakeFirst();
    expect(session).toEqual({ state: "open" });
  });
});
