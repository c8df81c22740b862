import { sql } from "kysely";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { makeLink } from "../../server/lead/links.ts";
import { draftOf } from "../../server/lead/plan-form.ts";
import { eventsOf } from "../../server/store/events.ts";
import { secretsOf, sessionById } from "../../server/store/sessions.ts";
import { pouredCups, trayCups } from "../../server/store/sheets.ts";
import { verifyStore } from "../../server/store/verification.ts";
import { planHash } from "../../src/design/seal.ts";
import { planChanges } from "../../src/experiment/amendment.ts";
import { type Plan, planSchema } from "../../src/experiment/plan.ts";
import { wasSealed } from "../../src/report/verification.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import {
  closeSession,
  examplePlan,
  openSession,
  type SealedFixture,
  sealedSession,
  unblindSession,
} from "../sealed-session.ts";
import { joined } from "./taster-sitting.ts";

describe("Amending a sealed plan", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  beforeEach(async () => {
    house = await openHouse();
    session = await sealedSession(house);
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const path = (of = session) => `/lead/sessions/${of.sessionId}/amendment`;
  const stored = async () => {
    const found = await sessionById(house.deps.store, session.sessionId);
    if (!found?.sealed) throw new Error("The session is not sealed");
    return found.sealed;
  };
  const codes = async () =>
    (await trayCups(house.deps.store, session.sessionId)).map(({ code }) => code);
  const events = () => eventsOf(house.deps.store, session.sessionId);
  /** Sends the form as it stands with some parts of the plan changed. */
  const send = async (
    changes: Partial<Plan>,
    options: { step?: string; reason?: string; from?: string } = {},
  ) => {
    const { planHash: current, plan } = await stored();
    await lead.get(path());
    return await lead.post(path(), {
      ...draftOf(planSchema.parse({ ...plan, ...changes })),
      amendmentReason: options.reason ?? "The margin was a slip",
      fromPlanHash: options.from ?? current,
      step: options.step ?? "seal",
    });
  };
  const stricter = {
    endpoints: examplePlan.endpoints.map((endpoint) =>
      endpoint.id === "e1" ? { ...endpoint, margin: 0.25 } : endpoint,
    ),
  };

  it("keeps kit, key and commitment where the same cups are served", async () => {
    const before = await stored();
    const secrets = await secretsOf(house.deps.store, session.sessionId);
    const cups = await codes();
    expect((await send(stricter)).statusCode).toBe(303);
    const after = await stored();
    expect(after.plan.endpoints[0]?.margin).toBe(0.25);
    expect(after.planHash).toBe(planHash(after.plan));
    expect(after.planHash).not.toBe(before.planHash);
    expect(after.commitment).toBe(before.commitment);
    expect(after.joinCode).toBe(before.joinCode);
    expect(await secretsOf(house.deps.store, session.sessionId)).toEqual(secrets);
    expect(await codes()).toEqual(cups);
  });

  it("draws a new kit from a new seed where other cups are served", async () => {
    const before = await stored();
    const secrets = await secretsOf(house.deps.store, session.sessionId);
    const cups = await codes();
    expect((await send({ tasters: 6 })).statusCode).toBe(303);
    const after = await stored();
    expect(after.commitment).not.toBe(before.commitment);
    const drawn = await secretsOf(house.deps.store, session.sessionId);
    expect(drawn.seedHex).not.toBe(secrets.seedHex);
    expect(drawn.nonceHex).not.toBe(secrets.nonceHex);
    // Six tasters and a spare seat, with as many cups as each had before.
    expect(await codes()).toHaveLength((cups.length / 5) * 7);
    const orphans = await sql<{ count: number }>`
      SELECT count(*) AS count FROM cup_keys
      WHERE cup_id NOT IN (SELECT id FROM cups) OR pot_id NOT IN (SELECT id FROM pots)
    `.execute(house.deps.store);
    expect(orphans.rows).toEqual([{ count: 0 }]);
    expect((await pouredCups(house.deps.store, session.sessionId)).length).toBeGreaterThan(0);
  });

  it("ends links to sheets of a kit that is gone, and leaves those of one that stays", async () => {
    const wish = { shows: "pour-sheet", note: "", days: 3 } as const;
    const url = await makeLink(house.deps, session.sessionId, session.leadId, wish);
    const sheet = async () => (await house.visitor().get(new URL(url).pathname)).statusCode;
    await send(stricter);
    expect(await sheet()).toBe(200);
    await send({ tasters: 6 }, { reason: "Two more will come" });
    expect(await sheet()).toBe(404);
  });

  it("is an event with reason, hashes and every change, and verification follows it", async () => {
    const first = await stored();
    await send(stricter);
    const second = await stored();
    await send({ tasters: 6 }, { reason: "Two more will come" });
    const third = await stored();
    const amendments = (await events()).filter(({ kind }) => kind === "amended");
    expect(amendments.map(({ body }) => body)).toEqual([
      {
        previousPlanHash: first.planHash,
        planHash: second.planHash,
        commitment: first.commitment,
        kit: "kept",
        reason: "The margin was a slip",
        changes: [{ part: "question, e1, margin", before: "0.3", after: "0.25" }],
      },
      {
        previousPlanHash: second.planHash,
        planHash: third.planHash,
        commitment: third.commitment,
        kit: "drawn-anew",
        reason: "Two more will come",
        changes: [{ part: "tasters", before: "4", after: "6" }],
      },
    ]);
    expect(amendments[0]?.actor).toMatch(/^lead:/);
    const [checked] = await verifyStore(house.deps.store);
    expect(checked?.checks.filter(({ ok }) => !ok)).toEqual([]);
  });

  it("shows what it changes before it is sealed, and stores nothing until then", async () => {
    const before = await stored();
    const kept = await send(stricter, { step: "review" });
    expect(kept.statusCode).toBe(200);
    expect(kept.body).toMatch(/>0\.3<\/td><td[^>]*>0\.25</);
    expect(kept.body).toContain("commitment to the key stay");
    const anew = await send({ tasters: 6 }, { step: "review" });
    expect(anew.body).toContain("Throw every printed paper away");
    expect(await stored()).toEqual(before);
    expect((await events()).map(({ kind }) => kind)).not.toContain("amended");
  });

  it("brings the reviewed plan whole through the page's hidden fields", async () => {
    const page = await send({ ...stricter, hypothesis: "Two\nlines" }, { step: "review" });
    const fields = [...page.body.matchAll(/name="([^"]+)" value="([^"]*)"/g)].filter(
      ([, name]) => name !== "_csrf" && name !== "step",
    );
    const unescaped = (text: string) =>
      text
        .replaceAll("&lt;", "<")
        .replaceAll("&quot;", '"')
        .replaceAll("&#x27;", "'")
        .replaceAll("&amp;", "&");
    const form = Object.fromEntries(
      fields.map(([, name = "", value = ""]) => [name, unescaped(value)]),
    );
    expect((await lead.post(path(), { ...form, step: "seal" })).statusCode).toBe(303);
    const { plan } = await stored();
    expect(plan).toEqual({
      ...planSchema.parse(examplePlan),
      ...stricter,
      hypothesis: "Two\nlines",
    });
  });

  it("lists itself in the report, on the page and in the saved file", async () => {
    await send(stricter);
    for (const step of ["opening", "closure", "unblinding"]) {
      await lead.get(`/lead/sessions/${session.sessionId}`);
      await lead.post(`/lead/sessions/${session.sessionId}/${step}`, {});
    }
    const report = `/lead/sessions/${session.sessionId}/report`;
    for (const page of [report, `${report}/report.html`]) {
      const { body } = await lead.get(page);
      expect(body).toContain("Amended after sealing, before the session opened");
      expect(body).toContain("2026-03-02 09:00 UTC: The margin was a slip");
      expect(body).toMatch(/question, e1, margin<\/th><td[^>]*>0\.3<\/td><td[^>]*>0\.25</);
    }
    const visitor = house.visitor();
    await visitor.get("/verify");
    const file = (await lead.get(`${report}/session.json`)).body;
    expect((await visitor.post("/verify", { file })).body).toContain("All of it holds");
    const forged = file.replaceAll('"kind":"amended"', '"kind":"amended-not"');
    expect((await visitor.post("/verify", { file: forged })).body).not.toContain("All of it holds");
  });

  it("leaves an unamended session's report without a word of it", async () => {
    const plain = await openSession(house);
    await closeSession(house, plain);
    await unblindSession(house, plain);
    const { body } = await lead.get(`/lead/sessions/${plain.sessionId}/report`);
    expect(body).not.toContain("Amended");
  });

  describe("is refused", () => {
    const untouched = async (act: () => Promise<{ statusCode: number; body: string }>) => {
      const before = await stored();
      const answer = await act();
      expect(await stored()).toEqual(before);
      expect((await events()).map(({ kind }) => kind)).not.toContain("amended");
      return answer;
    };

    it.each(["open", "closed", "unblinded"])("once the session is %s", async (state) => {
      await lead.get(`/lead/sessions/${session.sessionId}`);
      for (const [step, reached] of [
        ["opening", "open"],
        ["closure", "closed"],
        ["unblinding", "unblinded"],
      ]) {
        await lead.post(`/lead/sessions/${session.sessionId}/${step}`, {});
        if (reached === state) break;
      }
      const answer = await untouched(() => send(stricter));
      expect(answer.statusCode).toBe(409);
      expect(answer.body).toContain("can’t be amended any more");
    });

    it("by the store itself once the session has opened", async () => {
      const open = await openSession(house);
      const { store } = house.deps;
      const plan = sql`UPDATE sessions SET plan_json = '{}' WHERE id = ${open.sessionId}`;
      await expect(plan.execute(store)).rejects.toThrow("is fixed");
      const key = sql`DELETE FROM session_secrets WHERE session_id = ${open.sessionId}`;
      await expect(key.execute(store)).rejects.toThrow("is fixed");
    });

    it("where it needs other cups and somebody has sat down, even if they left again", async () => {
      const taster = await joined(house, session);
      await taster.get("/taste/stop");
      await taster.post("/taste/stop", {});
      const answer = await untouched(() => send({ tasters: 6 }));
      expect(answer.statusCode).toBe(409);
      expect(answer.body).toContain("the kit is in use");
      // What was typed is still on the form.
      expect(answer.body).toMatch(/name="tasters" value="6"/);
    });

    it.each<[string, Partial<Plan>]>([
      ["substances", { substances: ["magnesium chloride"] }],
      ["allergens", { allergens: ["milk"] }],
      ["added text", { consentNotes: { en: "Something new" } }],
      ["temperature", { recipe: { ...examplePlan.recipe, servingTemperatureCelsius: 64 } }],
    ])("where somebody has agreed to other %s", async (_, change) => {
      await joined(house, session);
      const answer = await untouched(() => send(change));
      expect(answer.statusCode).toBe(409);
      expect(answer.body).toContain("agreed to what the consent text said");
    });

    it("where other sessions are sealed under the same plan", async () => {
      await lead.get(`/lead/experiments/${session.experimentId}`);
      const set = await lead.post(`/lead/experiments/${session.experimentId}/sessions`, {
        sessionName: "Second",
        heldOn: "",
      });
      const seal = String(set.headers.location);
      const hash = /name="planHash" value="([^"]+)"/.exec((await lead.get(seal)).body)?.[1] ?? "";
      expect((await lead.post(seal, { planHash: hash })).statusCode).toBe(303);
      const answer = await untouched(() => send(stricter));
      expect(answer.statusCode).toBe(409);
      expect(answer.body).toContain("must stay comparable");
    });

    it("where nothing is changed", async () => {
      const answer = await untouched(() => send({}));
      expect(answer.statusCode).toBe(409);
      expect(answer.body).toContain("Nothing has been changed yet");
    });

    it("where somebody else amended meanwhile", async () => {
      const { planHash: seen } = await stored();
      await send({ hypothesis: "Sweeter" });
      const answer = await send(stricter, { from: seen });
      expect(answer.statusCode).toBe(409);
      expect(answer.body).toContain("Somebody amended this plan");
      expect((await stored()).plan.endpoints[0]?.margin).toBe(0.3);
    });

    it("without a reason, and where the plan has a gap, at the field", async () => {
      const silent = await untouched(() => send(stricter, { reason: "  " }));
      expect(silent.statusCode).toBe(422);
      expect(silent.body).toContain("Say why; the report shows it");
      const { planHash: from, plan } = await stored();
      const gap = { ...draftOf(plan), question: "", amendmentReason: "x", fromPlanHash: from };
      const answer = await untouched(() => lead.post(path(), { ...gap, step: "seal" }));
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain("Write the question that the cups should answer");
    });

    it("where no kit can serve it", async () => {
      const answer = await untouched(() => send({ tasters: 300 }));
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain("can’t be coded");
    });

    it("to whoever is no lead", async () => {
      expect((await house.visitor().get(path())).headers.location).toMatch(/^\/sign-in/);
    });
  });

  it("lets texts change while tasters sit, but not what they agreed to", async () => {
    await joined(house, session);
    expect((await send({ hypothesis: "Sweeter" })).statusCode).toBe(303);
    const [checked] = await verifyStore(house.deps.store);
    expect(checked?.checks.filter(({ ok }) => !ok)).toEqual([]);
  });

  it("follows in the experiment's form, so that a copy starts from it", async () => {
    await send({ ...stricter, title: "Minerals, once more" });
    await lead.get(`/lead/experiments/${session.experimentId}`);
    const copy = await lead.post(`/lead/experiments/${session.experimentId}/copies`, {});
    const page = await lead.get(String(copy.headers.location));
    expect(page.body).toContain("Copy of Minerals, once more");
    expect(page.body).toMatch(/name="overall.margin" value="25"/);
  });
});

describe("A log that sealed a plan", () => {
  const link = { at: "2026-03-02T09:00:00.000Z", actor: "lead:x", previousHash: "", hash: "" };
  const log = (...acts: [string, Record<string, string>][]) =>
    acts.map(([kind, body], at) => ({ ...link, sequence: at + 1, kind, body }));
  const sealed = { planHash: "p1", commitment: "k1" };
  const amended = { planHash: "p2", commitment: "k1", previousPlanHash: "p1" };

  it("vouches for the plan as it was last amended, and for no other", () => {
    const events = log(["set-up", {}], ["sealed", sealed], ["amended", amended], ["opened", {}]);
    expect(wasSealed(events, { planHash: "p2", commitment: "k1" })).toBe(true);
    expect(wasSealed(events, { planHash: "p1", commitment: "k1" })).toBe(false);
    expect(wasSealed(events, { planHash: "p2", commitment: "k2" })).toBe(false);
  });

  it("does not where an amendment came after opening, or does not follow on the plan before it", () => {
    const now = { planHash: "p2", commitment: "k1" };
    expect(wasSealed(log(["sealed", sealed], ["opened", {}], ["amended", amended]), now)).toBe(
      false,
    );
    const jumped = { ...amended, previousPlanHash: "p0" };
    expect(wasSealed(log(["sealed", sealed], ["amended", jumped]), now)).toBe(false);
    expect(wasSealed(log(["amended", amended]), now)).toBe(false);
    expect(wasSealed(log(["set-up", {}]), now)).toBe(false);
  });
});

describe("The changes of a plan", () => {
  const plan = planSchema.parse(examplePlan);
  const changesTo = (changes: Partial<Plan>) => planChanges(plan, { ...plan, ...changes });

  it("are none between a plan and itself", () => {
    expect(planChanges(plan, structuredClone(plan))).toEqual([]);
  });

  it.each<[Partial<Plan>, string, string, string]>([
    [{ hypothesis: "" }, "hypothesis", "After brewing tastes brighter", "nothing"],
    [{ cannotTellAllowed: true }, "“can’t tell” allowed", "no", "yes"],
    [{ brewers: ["North"] }, "brewers", "North, South", "North"],
    [{ serving: { windowMinutes: 6 } }, "serving, serving window, min", "nothing", "6"],
    [{ consentNotes: { en: "Hi" } }, "added to the consent text, en", "nothing", "Hi"],
    [{ recipe: { ...plan.recipe, doseGrams: 61 } }, "recipe, dose, g", "60", "61"],
  ])("name the part with both its states", (change, part, before, after) => {
    expect(changesTo(change)).toEqual([{ part, before, after }]);
  });

  it("name a coffee that was added by each of its parts", () => {
    const coffees = [...plan.coffees, { id: "c4", name: "Thorn", roast: "" }];
    expect(changesTo({ coffees })).toEqual([
      { part: "coffee, c4, id", before: "nothing", after: "c4" },
      { part: "coffee, c4, name", before: "nothing", after: "Thorn" },
    ]);
  });
});

describe("A draft session", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  beforeEach(async () => {
    house = await openHouse();
    session = await sealedSession(house);
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const setUp = async () => {
    await lead.get(`/lead/experiments/${session.experimentId}`);
    const answer = await lead.post(`/lead/experiments/${session.experimentId}/sessions`, {
      sessionName: "Thursday",
      heldOn: "",
    });
    return String(answer.headers.location).replace(/\/seal$/, "");
  };

  it("can be discarded: it is out of every list, and its log stays", async () => {
    const draft = await setUp();
    expect((await lead.get(draft)).body).toContain(`${draft}/discarding`);
    expect((await lead.get(`${draft}/discarding`)).statusCode).toBe(200);
    const answer = await lead.post(`${draft}/discarding`, {});
    expect(answer.headers.location).toBe(`/lead/experiments/${session.experimentId}`);
    for (const page of ["/lead", `/lead/experiments/${session.experimentId}`]) {
      expect((await lead.get(page)).body).not.toContain("Thursday");
    }
    for (const page of [draft, `${draft}/seal`, `${draft}/discarding`]) {
      expect((await lead.get(page)).statusCode).toBe(404);
    }
    const id = draft.split("/").at(-1) ?? "";
    const kinds = (await eventsOf(house.deps.store, id)).map(({ kind }) => kind);
    expect(kinds).toEqual(["set-up", "discarded"]);
  });

  it("can no longer be discarded once it is sealed", async () => {
    const sealed = `/lead/sessions/${session.sessionId}`;
    expect((await lead.get(sealed)).body).not.toContain("discarding");
    expect((await lead.get(`${sealed}/discarding`)).statusCode).toBe(409);
    const answer = await lead.post(`${sealed}/discarding`, {});
    expect(answer.statusCode).toBe(409);
    expect(answer.body).toContain("A sealed session stays");
    expect((await lead.get(sealed)).statusCode).toBe(200);
  });
});
