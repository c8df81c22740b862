import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { trueSets } from "../../seed/truth.ts";
import { connect, prepare } from "../../server/store/connection.ts";
import { openStore } from "../../server/store/database.ts";
import { verifyStore } from "../../server/store/verification.ts";
import { openHouse } from "../app.ts";
import { examplePlan, openSession } from "../sealed-session.ts";
import { Phone } from "./phone.ts";
import { type Served, serve } from "./served.ts";

const PHONES = 200;
const KILLS = 20;
const PORT = 18_431;

interface Ballot {
  seat: number;
  ordinal: number;
  chosen: string;
}
const nameOf = ({ seat, ordinal }: Ballot) => `${seat}/${ordinal}`;
const outcomeSchema = z.object({ outcome: z.string() });

/** A sealed and opened session for 200 tasters in a file of its own, and what each will answer. */
async function preparedFile(folder: string) {
  const house = await openHouse();
  const session = await openSession(house, {
    coffees: examplePlan.coffees.slice(0, 3),
    endpoints: [{ id: "e1", kind: "preference", role: "primary", margin: 0.3 }],
    tasters: PHONES,
    spareSeats: 0,
    brewPairsPerCoffee: 2,
    controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
  });
  const sets = await trueSets(house.deps.store, session.sessionId);
  const dataFile = join(folder, "data.sqlite");
  connect(house.dataFile).exec("PRAGMA wal_checkpoint(TRUNCATE)");
  copyFileSync(house.dataFile, dataFile);
  await house.close();
  const ballots = sets.map(({ seat, ordinal, cups }) => ({
    seat,
    ordinal,
    chosen: cups[(seat + ordinal) % 2]?.code ?? "",
  }));
  return { dataFile, joinCode: session.joinCode, ballots };
}

describe("When the server is killed again and again while a room submits", () => {
  it("every acknowledged ballot is there once, every other after its retry, and the log verifies", async () => {
    const folder = mkdtempSync(join(tmpdir(), "evenpour-kill-"));
    const { dataFile, joinCode, ballots } = await preparedFile(folder);
    let served: Served = await serve(dataFile, PORT);
    const phones = Array.from({ length: PHONES }, () => new Phone(() => served.origin));
    for (const [at, phone] of phones.entries()) {
      await phone.get(`/join/${joinCode}?language=en`);
      const joined = await phone.post(`/join/${joinCode}`, {
        name: `T${at}`,
        language: "en",
        consent: "yes",
        spit: "yes",
      });
      expect(joined.status).toBe(303);
    }

    const acknowledged = new Set<string>();
    const retried = new Set<string>();
    let done = false;
    const submitAll = async (phone: Phone, seat: number) => {
      for (const ballot of ballots.filter((one) => one.seat === seat)) {
        while (!(await submitted(phone, ballot))) {
          retried.add(nameOf(ballot));
          await pause(20 + (seat % 17));
        }
        acknowledged.add(nameOf(ballot));
      }
    };
    const killer = async () => {
      for (let kill = 1; kill <= KILLS; kill += 1) {
        const enough = Math.floor((kill * ballots.length) / (KILLS + 1));
        while (acknowledged.size < enough && !done) await pause(2);
        await served.kill();
        const before = new Set(acknowledged);
        const stored = storedIn(dataFile);
        for (const name of before) expect(stored.get(name), `${name} after kill ${kill}`).toBe(1);
        served = await serve(dataFile, PORT);
      }
    };
    const killing = killer();
    await Promise.all(phones.map((phone, at) => submitAll(phone, at + 1)));
    done = true;
    await killing;
    await served.stop();

    expect(acknowledged.size).toBe(ballots.length);
    expect(retried.size).toBeGreaterThan(KILLS);
    const stored = storedIn(dataFile);
    expect(stored.size).toBe(ballots.length);
    expect([...stored.values()].every((count) => count === 1)).toBe(true);
    const opened = await openStore(dataFile);
    if (!opened.ok) throw new Error(opened.detail);
    const [session] = await verifyStore(opened.store);
    expect(session?.checks.filter(({ ok }) => !ok)).toEqual([]);
    await opened.store.destroy();
    rmSync(folder, { recursive: true });
  }, 600_000);
});

/** True once the server has acknowledged this ballot; false when the network failed. */
async function submitted(phone: Phone, { ordinal, chosen, seat }: Ballot): Promise<boolean> {
  const form = { key: `phone-${seat}-set-${ordinal}-key`, step: "lock", e1: chosen, comment: "" };
  try {
    const answer = await phone.post(`/taste/${ordinal}`, form, "application/json");
    const { outcome } = outcomeSchema.parse(JSON.parse(answer.body));
    if (outcome === "expired") await phone.get("/taste");
    if (outcome === "differs") throw new Error(`A retry was taken for a change: ${answer.body}`);
    return outcome === "stored";
  } catch (error) {
    if (error instanceof TypeError || error instanceof SyntaxError) return false;
    throw error;
  }
}

/** How often each seat's set is in the file, read past the program. */
function storedIn(dataFile: string): Map<string, number> {
  const connection = connect(dataFile);
  const rows = z.array(z.object({ name: z.string(), count: z.int() })).parse(
    prepare(
      connection,
      `SELECT seats.number || '/' || presentations.ordinal AS name, count(*) AS count
         FROM ballots JOIN presentations ON presentations.id = ballots.presentation_id
         JOIN seats ON seats.id = presentations.seat_id GROUP BY 1`,
    ).all(),
  );
  connection.close();
  return new Map(rows.map(({ name, count }) => [name, count]));
}
