import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type House, openHouse, type Visitor } from "../app.ts";
import { closeSession, openSession, type SealedFixture, sealedSession } from "../sealed-session.ts";
import { joined } from "./taster-sitting.ts";

const REQUESTS = process.env.EVENPOUR_LONG ? 20_000 : 3_000;

interface Route {
  method: string;
  url: string;
}

/** Texts that break careless programs, beside what fast-check thinks of. */
const nasty = fc.oneof(
  fc.constantFrom(
    "",
    " ",
    "0",
    "-1",
    "1e309",
    "NaN",
    "null",
    "undefined",
    "true",
    "[]",
    "{}",
    "__proto__",
    "constructor",
    "toString",
    "../../etc/passwd",
    "%00",
    "\u0000",
    "'; DROP TABLE ballots;--",
    "<script>alert(1)</script>",
    "{{constructor}}",
    "=HYPERLINK(1)",
    "𝕊",
    "\ud800",
    "9".repeat(400),
    "é".repeat(300),
  ),
  fc.string({ maxLength: 60 }),
  fc.string({ unit: "binary", maxLength: 30 }),
);
const names = fc.constantFrom(
  "step",
  "act",
  "sheet",
  "file",
  "key",
  "e1",
  "e2",
  "e4-417",
  "comment",
  "name",
  "consent",
  "language",
  "planHash",
  "version",
  "title",
  "coffees",
  "reason",
  "shows",
  "days",
  "code",
  "seat",
  "tray",
  "witness",
  "passphrase",
  "again",
  "method",
  "assessments",
);
const bodies = fc.dictionary(
  fc.oneof(names, nasty),
  fc.oneof(nasty, fc.array(nasty, { maxLength: 3 })),
  { maxKeys: 8 },
);

describe("Whatever is sent to whatever door", () => {
  let house: House;
  let routes: Route[];
  let people: Visitor[];
  let sessions: SealedFixture[];
  let ids: string[];
  beforeAll(async () => {
    house = await openHouse();
    routes = listRoutes(house.app.printRoutes({ commonPrefix: false }));
    sessions = [await sealedSession(house), await openSession(house), await openSession(house)];
    const [, , closed] = sessions;
    if (closed !== undefined) await closeSession(house, closed);
    const [, open] = sessions;
    if (open === undefined) throw new Error("no session is open");
    people = [house.visitor(), await house.signedInLead(), await joined(house, open)];
    const pots = await house.deps.store.selectFrom("pots").select("id").limit(2).execute();
    ids = [
      ...sessions.flatMap((one) => [one.sessionId, one.experimentId, one.joinCode]),
      ...pots.map(({ id }) => id),
    ];
  }, 120_000);
  afterAll(() => house.close());

  /** All that decides a tasting: states, ballots, keys and who sits where. */
  const standing = async () => {
    const { store } = house.deps;
    return JSON.stringify([
      await store
        .selectFrom("sessions")
        .select(["id", "state", "plan_hash", "commitment"])
        .orderBy("id")
        .execute(),
      await store.selectFrom("ballots").selectAll().orderBy("id").execute(),
      await store.selectFrom("pot_keys").selectAll().orderBy("pot_id").execute(),
      await store.selectFrom("session_secrets").selectAll().orderBy("session_id").execute(),
    ]);
  };

  it("nobody gets a server error, reads or writes a foreign ballot, or skips a step", async () => {
    expect(routes.length).toBeGreaterThan(80);
    const before = await standing();
    const parameter = fc.oneof(fc.constantFrom(...ids), nasty);
    const request = fc.record({
      route: fc.constantFrom(...routes),
      fills: fc.array(parameter, { minLength: 4, maxLength: 4 }),
      query: nasty,
      body: bodies,
      // A stranger may post with a token of their own; the lead only reads here, since a lead may act.
      person: fc.constantFrom(0, 1, 2),
    });
    await fc.assert(
      fc.asyncProperty(request, async ({ route, fills, query, body, person }) => {
        const rest = [...fills];
        const path = route.url.replace(/:[A-Za-z]+|\*/g, () =>
          encodeURIComponent(toWellFormed(rest.shift() ?? "x")),
        );
        const visitor = people[route.method === "POST" && person === 1 ? 0 : person];
        if (visitor === undefined) throw new Error("nobody asks");
        const url = `${path}?q=${encodeURIComponent(toWellFormed(query))}`;
        if (url.includes("/live")) return;
        const answer =
          route.method === "GET"
            ? await visitor.get(url)
            : await visitor.post(
                url,
                Object.fromEntries(
                  Object.entries(body).map(([name, value]) => [
                    toWellFormed(name),
                    Array.isArray(value) ? value.map(toWellFormed) : toWellFormed(value),
                  ]),
                ),
              );
        expect(answer.statusCode, `${route.method} ${url}`).toBeLessThan(500);
      }),
      { numRuns: REQUESTS, seed: 20_260_302 },
    );
    expect(await standing()).toBe(before);
  }, 1_800_000);
});

const toWellFormed = (text: string) => text.replace(/[\ud800-\udfff]/g, "\ufffd");

/** Routes of Fastify's printed tree, one method each. */
function listRoutes(tree: string): Route[] {
  const routes: Route[] = [];
  const stack: string[] = [];
  for (const line of tree.split("\n")) {
    const found = /^([│\s]*)[├└]── (.*?)(?: \(([A-Z, ]+)\))?$/.exec(line);
    if (found === null) continue;
    const [, indent = "", part = "", methods] = found;
    const depth = indent.length / 4;
    stack.length = depth;
    stack[depth] = part;
    for (const method of (methods ?? "").split(", ")) {
      if (method === "GET" || method === "POST") routes.push({ method, url: stack.join("") });
    }
  }
  return routes.filter(({ url }) => !url.startsWith("/api/docs"));
}
