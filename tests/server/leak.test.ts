import type { FastifyInstance } from "fastify";
import { sql } from "kysely";
import { describe, expect, it } from "vitest";
import { trueSets } from "../../seed/truth.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { upperTail } from "../../src/statistics/binomial.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, openSession, type SealedFixture, sealedSession } from "../sealed-session.ts";

type Said = { route: string; status: number; headers: Record<string, unknown>; body: string };

/** Everything that a taster's device is told in a sitting, mistakes and strangers' addresses included. */
async function sitting(house: House, session: SealedFixture): Promise<Said[]> {
  const said: Said[] = [];
  const note = (route: string, response: Awaited<ReturnType<Visitor["get"]>>) => {
    // Both tell the time of day, which goes on between two sittings.
    const { date: _, "x-ratelimit-reset": __, ...headers } = response.headers;
    said.push({
      route,
      status: response.statusCode,
      headers: plain(headers),
      body: plain(response.body),
    });
  };
  const phone = house.visitor();
  const get = async (path: string) => note(`GET ${path}`, await phone.get(path));
  const post = async (path: string, form: Record<string, string>) =>
    note(`POST ${path}`, await phone.post(path, form));
  await get("/join");
  await get(`/join/${session.joinCode}`);
  await post(`/join/${session.joinCode}`, { name: "", language: "en" });
  await post(`/join/${session.joinCode}`, {
    name: "Q.",
    language: "en",
    consent: "yes",
    spit: "yes",
  });
  await get("/taste");
  for (const asset of ["ballot.js", "taster.css"]) await get(`/assets/${asset}`);
  for (const set of (await trueSets(house.deps.store, session.sessionId)).filter(
    ({ seat }) => seat === 1,
  )) {
    const codes = set.cups.map(({ code }) => code);
    const answers = {
      key: `key-of-the-phone-${set.ordinal}`,
      e1: codes[0] ?? "",
      e2: codes[1] ?? "",
      e3: codes[0] ?? "",
      ...Object.fromEntries(codes.map((code, at) => [`e4-${code}`, String(40 + at)])),
    };
    await get(`/taste/${set.ordinal}`);
    await post(`/taste/${set.ordinal}`, { ...answers, e1: "", e2: "999", step: "lock" });
    await post(`/taste/${set.ordinal}`, { ...answers, step: "check" });
    await post(`/taste/${set.ordinal}`, { ...answers, step: "lock" });
    await post(`/taste/${set.ordinal}`, {
      ...answers,
      e1: codes[1] ?? "",
      e2: codes[0] ?? "",
      step: "lock",
    });
  }
  for (const path of ["/taste", "/taste/99", "/lead", `/lead/sessions/${session.sessionId}/room`])
    await get(path);
  await post("/taste/99", { step: "lock", key: "key-of-the-phone-99" });
  return said;
}

/** Without the library's random form tokens; ids, keys and the clock are the same in every house. */
function plain<Text>(text: Text): Text {
  const json = JSON.stringify(text)
    .replaceAll(/(_csrf\\?" value=\\?")[^"\\]+/g, "$1")
    .replaceAll(/_csrf=[^;"]+/g, "_csrf=");
  return JSON.parse(json);
}

async function swapTreatments(house: House): Promise<void> {
  const other = sql<"A" | "B">`CASE treatment WHEN 'A' THEN 'B' ELSE 'A' END`;
  await house.deps.store.updateTable("pot_keys").set({ treatment: other }).execute();
}

/** What a careless program might do: a header that follows what the first cup of the session holds. */
function plantLeak(app: FastifyInstance, house: () => House): void {
  app.addHook("onSend", async (_request, reply) => {
    const pot = await house()
      .deps.store.selectFrom("pot_keys")
      .select("treatment")
      .orderBy("pot_id")
      .executeTakeFirst();
    reply.header("x-brew", pot?.treatment === "A" ? "1" : "2");
  });
}

describe("A taster's device is told the same whatever the cups hold", () => {
  const heard = async (options: { swapped: boolean; leaky?: boolean }) => {
    const house: House = await openHouse(undefined, (app) => {
      if (options.leaky) plantLeak(app, () => house);
    });
    const session = await openSession(house);
    if (options.swapped) await swapTreatments(house);
    const said = await sitting(house, session);
    await house.close();
    return said;
  };

  it("byte for byte: pages, headers, cookies, scripts, mistakes and refusals", async () => {
    const [one, other] = [await heard({ swapped: false }), await heard({ swapped: true })];
    expect(one.length).toBeGreaterThan(40);
    expect(new Set(one.map(({ status }) => status))).toEqual(new Set([200, 303, 404, 409, 422]));
    expect(other).toEqual(one);
  });

  it("and this comparison catches a leak that is planted", async () => {
    const leaky = { leaky: true };
    const [one, other] = [
      await heard({ swapped: false, ...leaky }),
      await heard({ swapped: true, ...leaky }),
    ];
    expect(other).not.toEqual(one);
  });
});

/** What a device can see of a set, as features for a classifier, and what its first cup truly holds. */
interface Seen {
  features: string[];
  firstIsA: boolean;
}

const pairOnly: Partial<Plan> = {
  coffees: examplePlan.coffees.slice(0, 1),
  endpoints: [{ id: "e1", kind: "preference", role: "primary", margin: 0.3 }],
  tasters: 2,
  spareSeats: 0,
  controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
};

/** 500 sessions sealed under seeds of their own, each seen through its first taster's page. */
async function fiveHundred(): Promise<Seen[]> {
  const house = await openHouse();
  const seen: Seen[] = [];
  for (let at = 0; at < 500; at += 1) {
    const session = await sealedSession(house, pairOnly);
    const phone = house.visitor();
    await phone.get(`/join/${session.joinCode}`);
    await phone.post(`/join/${session.joinCode}`, {
      name: "Q.",
      language: "en",
      consent: "yes",
      spit: "yes",
    });
    await house.deps.store
      .updateTable("sessions")
      .set({ state: "open" })
      .where("id", "=", session.sessionId)
      .execute();
    const page = await phone.get("/taste");
    const [set] = await trueSets(house.deps.store, session.sessionId);
    seen.push({ features: featuresOf(page.body), firstIsA: set?.cups[0]?.treatment === "A" });
  }
  await house.close();
  return seen;
}

function featuresOf(body: string): string[] {
  const codes = [...body.matchAll(/type="radio"[^>]* value="(\d{3})"/g)].map(
    ([, code]) => code ?? "",
  );
  const [first = "", second = ""] = codes;
  const digits = [...`${first}${second}`].map((digit, place) => `${place}=${digit}`);
  const order = first < second ? "rising" : "falling";
  const parity = `${Number(first) % 2}${Number(second) % 2}`;
  return [...digits, order, `parity=${parity}`, `length=${body.length % 50}`];
}

/** Naive Bayes trained on the first half; how many of the rest it gets right. */
function rightGuesses(seen: readonly Seen[]): { right: number; of: number } {
  const half = seen.length / 2;
  const counts = new Map<string, [number, number]>();
  for (const { features, firstIsA } of seen.slice(0, half)) {
    for (const feature of features) {
      const count = counts.get(feature) ?? [1, 1];
      count[firstIsA ? 0 : 1] += 1;
      counts.set(feature, count);
    }
  }
  const score = (features: readonly string[]) =>
    features.reduce((sum, feature) => {
      const [a, b] = counts.get(feature) ?? [1, 1];
      return sum + Math.log(a / b);
    }, 0);
  const rest = seen.slice(half);
  return {
    right: rest.filter(({ features, firstIsA }) => score(features) > 0 === firstIsA).length,
    of: rest.length,
  };
}

describe("A classifier that sees 500 taster's pages", () => {
  it("guesses what the first cup holds no better than luck, and finds a planted leak", async () => {
    const seen = await fiveHundred();
    expect(seen.every(({ features }) => features.length === 9)).toBe(true);
    const { right, of } = rightGuesses(seen);
    expect(upperTail(right, of, 0.5)).toBeGreaterThanOrEqual(0.001);

    const leaky = seen.map((one, at) => ({
      ...one,
      // Planted: in every second session the length of the page gives the treatment away.
      features: at % 2 === 0 ? [...one.features, `tell=${one.firstIsA}`] : one.features,
    }));
    const caught = rightGuesses(leaky);
    expect(upperTail(caught.right, caught.of, 0.5)).toBeLessThan(0.001);
  }, 300_000);
});
