import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { sql } from "kysely";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { answerSet, joinAsTaster, step } from "../../seed/play.ts";
import { trueSets } from "../../seed/truth.ts";
import { verifyStore } from "../../server/store/verification.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { run } from "../commands/terminal.ts";
import { examplePlan, type SealedFixture, sealedSession } from "../sealed-session.ts";

const broken = (checks: { what: string; ok: boolean }[]) =>
  checks.filter(({ ok }) => !ok).map(({ what }) => what);

describe("Verification", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  beforeEach(async () => {
    house = await openHouse();
    session = await sealedSession(house, {
      coffees: examplePlan.coffees.slice(0, 1),
      endpoints: [{ id: "e1", kind: "preference", role: "primary", margin: 0.3 }],
      tasters: 3,
      spareSeats: 0,
      controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
    });
    lead = await house.signedInLead();
    await step(lead, session.sessionId, "opening");
    for (const set of await trueSets(house.deps.store, session.sessionId)) {
      const taster = await joinAsTaster(house.app, session.joinCode, `T${set.seat}`);
      await answerSet(taster, set.ordinal, { e1: { chosen: set.cups[0]?.code ?? "" } });
    }
    await step(lead, session.sessionId, "closure");
    await step(lead, session.sessionId, "unblinding");
  });
  afterEach(() => house.close());

  const published = async () =>
    (await lead.get(`/lead/sessions/${session.sessionId}/report/session.json`)).body;
  const checksOfStore = async () => (await verifyStore(house.deps.store))[0]?.checks ?? [];

  describe("of a published session", () => {
    const ask = async (text: string) => {
      const visitor = house.visitor();
      await visitor.get("/verify");
      return await visitor.post("/verify", { file: text });
    };

    it("holds for the file as it came, by page and by command", async () => {
      const text = await published();
      expect((await ask(text)).body).toContain("All of it holds");
      const file = join(mkdtempSync(join(tmpdir(), "verify-")), "session.json");
      writeFileSync(file, text);
      const { code, out } = await run(["verify", file]);
      expect(code).toBe(0);
      expect(out.trim().split("\n")).toHaveLength(8);
      expect(out.split("\n").every((line) => line === "" || line.startsWith("holds"))).toBe(true);
      expect(readFileSync(file, "utf8")).toBe(text);
    });

    it.each<[string, (text: string) => string, string]>([
      [
        "an answer",
        (text) => text.replace(/"chosen":"(\d)(\d)/, '"chosen":"$1$1'),
        "Every ballot is as the log has it",
      ],
      [
        "the margin",
        (text) => text.replace('"margin":0.3', '"margin":0.4'),
        "The plan has the hash",
      ],
      [
        "the key",
        (text) => text.replace('\\"treatment\\":\\"A\\"', '\\"treatment\\":\\"B\\"'),
        "Key and nonce",
      ],
      [
        "a time in the log",
        (text) => text.replace(/("events":\[\{"sequence":1,"at":")2026/, "$12025"),
        "No event of the log",
      ],
      [
        "the commitment",
        (text) => text.replace(/"commitment":"./, '"commitment":"x'),
        "The log sealed this plan",
      ],
    ])("finds that %s was changed", async (_what, change, found) => {
      const text = await published();
      const changed = change(text);
      expect(changed).not.toBe(text);
      const answer = await ask(changed);
      expect(answer.body).toContain("Something does not hold");
      expect(answer.body).toContain(`<strong>Broken</strong>: ${found}`);
    });

    it.each(["", "{}", "no json"])("says what to choose instead of “%s”", async (text) => {
      const answer = await ask(text);
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain("Choose the file session.json");
    });
  });

  describe("of a data file", () => {
    it("holds when nobody has touched it", async () => {
      expect(broken(await checksOfStore())).toEqual([]);
    });

    it("finds a treatment swapped behind the program's back", async () => {
      await house.deps.store
        .updateTable("pot_keys")
        .set({ treatment: sql`CASE treatment WHEN 'A' THEN 'B' ELSE 'A' END` })
        .execute();
      expect(broken(await checksOfStore())).toEqual(["Every pot holds what the key says"]);
    });

    it("finds a ballot that was removed or smuggled in", async () => {
      const row = await house.deps.store
        .selectFrom("ballots")
        .selectAll()
        .executeTakeFirstOrThrow();
      await house.deps.store.deleteFrom("ballots").where("id", "=", row.id).execute();
      expect(broken(await checksOfStore())).toEqual(["Every ballot is as the log has it"]);
      const answers = JSON.stringify({ e1: { chosen: "999" } });
      await house.deps.store
        .insertInto("ballots")
        .values({ ...row, answers_json: answers })
        .execute();
      expect(broken(await checksOfStore())).toEqual(["Every ballot is as the log has it"]);
    });

    it("finds another key, seed or plan", async () => {
      const { store } = house.deps;
      const { seed } = await store
        .selectFrom("session_secrets")
        .select("seed")
        .executeTakeFirstOrThrow();
      await store
        .updateTable("session_secrets")
        .set({ seed: seed.replace(/^./, (one) => (one === "0" ? "1" : "0")) })
        .execute();
      expect(broken(await checksOfStore())).toContain("Seed and plan give this key again");
      await store
        .updateTable("session_secrets")
        .set({ seed, nonce: "0".repeat(64) })
        .execute();
      expect(broken(await checksOfStore())).toEqual([
        "Key and nonce are those that were committed to",
      ]);
    });
  });
});
