import type { LightMyRequestResponse } from "fastify";
import { sql } from "kysely";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type House, openHouse } from "../app.ts";
import {
  closeSession,
  examplePlan,
  openSession,
  otherMethods,
  type SealedFixture,
} from "../sealed-session.ts";
import { ballotOn, joined, postByScript, traysOf } from "./taster-sitting.ts";

/** Roasts by words that no page has other uses for. */
const coffees = examplePlan.coffees.map((coffee, at) => ({
  ...coffee,
  roast: ["straw", "chestnut", "ebony"][at] ?? "",
}));

/** Tables that hold the key or what leads to it; dropped in an order that foreign keys allow. */
const KEY_TABLES = ["cup_keys", "spare_cups", "presentation_keys", "pot_keys", "brews", "pots"];

/** One taster's sitting with every kind of response: pages, errors, refusals, the script's answers. */
async function sitting(house: House, fixture: SealedFixture): Promise<LightMyRequestResponse[]> {
  const trays = await traysOf(house, fixture);
  const newcomer = house.visitor();
  const responses = [
    await newcomer.get("/join"),
    await newcomer.get("/join/CCCCCC"),
    await newcomer.get(`/join/${fixture.joinCode}`),
    await newcomer.post(`/join/${fixture.joinCode}`, {}),
  ];
  const visitor = await joined(house, fixture);
  for (const tray of trays) {
    const address = `/taste/${tray.ordinal}`;
    const other = trays.find((one) => one !== tray)?.codes[0] ?? "";
    responses.push(
      await visitor.get("/taste"),
      await visitor.get(address),
      await visitor.post(address, { key: "a-key-of-the-phone-1", e1: other, e2: other }),
      await visitor.post(address, { ...ballotOn(tray), step: "check" }),
      await visitor.post(address, { ...ballotOn(tray), step: "change" }),
      await visitor.post(address, ballotOn(tray)),
      await visitor.post(address, ballotOn(tray, 1)),
      await postByScript(house, visitor, tray.ordinal, ballotOn(tray)),
      await postByScript(house, visitor, tray.ordinal, ballotOn(tray, 1)),
      await postByScript(house, visitor, tray.ordinal, { key: "a-key-of-the-phone-1" }),
    );
  }
  responses.push(await visitor.get("/taste"), await visitor.get("/taste/99"));
  await closeSession(house, fixture);
  responses.push(await visitor.get("/taste"), await visitor.post("/taste/1", {}));
  responses.push(await visitor.get("/taste/stop"), await visitor.post("/taste/stop", {}));
  return responses;
}

/** Everything of a response that a phone can see. */
function visible(response: LightMyRequestResponse): string {
  return `${response.statusCode} ${JSON.stringify(response.headers)} ${response.body}`;
}

describe("What a taster's phone is sent", () => {
  let house: House;
  let seen: string[];
  let randomNames: string[];
  let potLetters: string[];

  beforeAll(async () => {
    house = await openHouse();
    const fixture = await openSession(house, { coffees });
    const { store } = house.deps;
    const ids = await Promise.all(
      (["pots", "seats", "presentations", "cups", "spare_cups"] as const).map((table) =>
        store.selectFrom(table).select("id").execute(),
      ),
    );
    const secrets = await store.selectFrom("session_secrets").selectAll().executeTakeFirstOrThrow();
    const pots = await store.selectFrom("pots").select(["letter", "water_label"]).execute();
    potLetters = pots.map((pot) => pot.letter);
    randomNames = [
      ...ids.flat().map(({ id }) => id),
      ...[fixture.sessionId, fixture.experimentId, fixture.leadId],
      ...[secrets.seed, secrets.nonce],
    ];
    seen = (await sitting(house, fixture)).map(visible);
  });
  afterAll(() => house.close());

  const { treatments } = examplePlan;
  it.each([
    ...[treatments.A.name, treatments.B.name, treatments.A.description, treatments.B.description],
    ...coffees.flatMap(({ name, roast }) => [name, roast]),
    ...[examplePlan.title, examplePlan.question, examplePlan.hypothesis],
    ...examplePlan.brewers,
    ...["First session", "A/B", "B/A", "treatment", "control", "same-pot", "replicate", "margin"],
    ...[
      "expected",
      "exploratory",
      "secondary",
      "primary",
      "brew pair",
      "coffee_id",
      "odd_position",
    ],
  ])("never holds “%s”", (forbidden) => {
    const word = new RegExp(`(?<![\\w-])${forbidden.replace("/", "\\/")}(?![\\w-])`, "i");
    // Words of HTTP and HTML that have nothing to do with a plan.
    const cleared = seen.map((one) =>
      one.replace(/"(cache-control|x-dns-prefetch-control|vary)":"[^"]*"/g, ""),
    );
    expect(cleared.filter((one) => word.test(one)).length).toBe(0);
  });

  it("never holds an id, a secret or a pot letter", () => {
    expect(randomNames.length).toBeGreaterThan(100);
    expect(potLetters.length).toBe(6);
    for (const response of seen) {
      for (const name of randomNames) expect(response).not.toContain(name);
      for (const letter of potLetters)
        expect(response).not.toMatch(new RegExp(`>\\s*${letter}\\s*<`));
    }
  });

  it("finds what it looks for when that is planted", () => {
    const planted = `<td>${potLetters[0]}</td> ${randomNames[0]}`;
    expect(planted).toMatch(new RegExp(`>\\s*${potLetters[0]}\\s*<`));
    expect(planted).toContain(randomNames[0]);
    expect(seen.join("").length).toBeGreaterThan(100_000);
  });
});

describe("A taster's sitting", () => {
  it("needs none of the tables that hold the key", async () => {
    const house = await openHouse();
    const fixture = await openSession(house);
    for (const table of [...KEY_TABLES, "session_secrets"]) {
      await sql`DROP TABLE ${sql.table(table)}`.execute(house.deps.store);
    }
    const statuses = (await sitting(house, fixture)).map(({ statusCode }) => statusCode);
    expect(Math.max(...statuses)).toBeLessThan(500);
    expect(await house.deps.store.selectFrom("ballots").select("id").execute()).toHaveLength(7);
    await house.close();
  });

  it.each([
    { name: "triangle", endpoints: examplePlan.endpoints, kinds: ["ab", "triangle"] },
    { ...otherMethods[0], kinds: ["ab", "duo-trio", "three-afc"] },
    { ...otherMethods[1], kinds: ["ab", "tetrad"] },
  ])(
    "has the same shape for every set of a kind: codes and place are all that differ ($name)",
    async ({ endpoints = [], kinds }) => {
      const house = await openHouse();
      const fixture = await openSession(house, { endpoints });
      const visitor = await joined(house, fixture);
      const shapes = new Map<string, Set<string>>();
      for (const tray of await traysOf(house, fixture)) {
        const address = `/taste/${tray.ordinal}`;
        const responses = [
          await visitor.get(address),
          await visitor.post(address, { ...ballotOn(tray), step: "check" }),
          await postByScript(house, visitor, tray.ordinal, ballotOn(tray)),
          await postByScript(house, visitor, tray.ordinal, ballotOn(tray, 1)),
        ];
        const shape = responses.map((one) => withoutPlace(visible(one), tray)).join("\n");
        shapes.set(tray.kind, (shapes.get(tray.kind) ?? new Set()).add(shape));
      }
      expect([...shapes.keys()].toSorted()).toEqual(kinds);
      for (const found of shapes.values()) expect([...found]).toHaveLength(1);
      await house.close();
    },
  );

  it.each([{ name: "triangle", endpoints: examplePlan.endpoints }, ...otherMethods])(
    "is the same, letter for letter, when treatments and controls are other than they were ($name)",
    async ({ endpoints }) => {
      const house = await openHouse();
      const fixture = await openSession(house, { endpoints });
      const visitor = await joined(house, fixture);
      const before = withoutChance((await visitor.get("/taste")).body);
      const { store } = house.deps;
      const other = { control: null, odd_position: 1, fellow_position: 3 };
      await store.updateTable("presentation_keys").set(other).execute();
      await sql`UPDATE pot_keys SET treatment = iif(treatment = 'A', 'B', 'A')`.execute(store);
      await store.updateTable("pots").set({ water_label: "other" }).execute();
      expect(withoutChance((await visitor.get("/taste")).body)).toBe(before);
      expect(before).toContain(`data-set="${fixture.plan.coffees.length}"`);
      await house.close();
    },
  );
});

/** A response with codes, set number and everything random put out of sight. */
function withoutPlace(response: string, { ordinal, codes }: { ordinal: number; codes: string[] }) {
  const coded = codes.reduce(
    (text, code, at) => text.replaceAll(code, `[cup ${at + 1}]`),
    response,
  );
  return withoutChance(coded)
    .replace(/"(date|content-length|set-cookie|x-ratelimit-\w+)":("[^"]*"|\[[^\]]*\]|\d+),?/g, "")
    .replaceAll(`/taste/${ordinal}`, "/taste/[set]")
    .replace(new RegExp(`\\bs${ordinal}-`, "g"), "s[set]-")
    .replace(new RegExp(`\\bSet ${ordinal}\\b`, "g"), "Set [set]");
}

function withoutChance(text: string): string {
  return text.replace(/name="_csrf" value="[^"]+"/g, "").replace(/name="key" value="[^"]+"/g, "");
}
