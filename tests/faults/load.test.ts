import { randomUUID } from "node:crypto";
import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { performance } from "node:perf_hooks";
import Fastify from "fastify";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { z } from "zod";
import { connect, prepare } from "../../server/store/connection.ts";
import { openHouse } from "../app.ts";
import { examplePlan, openSession } from "../sealed-session.ts";
import { Phone } from "./phone.ts";
import { serve } from "./served.ts";

const SEATS_A_SESSION = 250;
const PORT = 18_432;
const outcomeSchema = z.object({ outcome: z.string() });

interface Sitting {
  joinCode: string;
  tasters: number;
}

/** A file with as many open sessions as it takes to seat everyone. */
async function seated(
  folder: string,
  tasters: number,
): Promise<{ dataFile: string; sittings: Sitting[] }> {
  const house = await openHouse();
  const sittings: Sitting[] = [];
  for (let left = tasters; left > 0; left -= SEATS_A_SESSION) {
    const session = await openSession(house, {
      endpoints: [{ id: "e1", kind: "preference", role: "primary", margin: 0.3 }],
      coffees: examplePlan.coffees,
      tasters: Math.min(left, SEATS_A_SESSION),
      spareSeats: 0,
      controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
    });
    sittings.push({ joinCode: session.joinCode, tasters: session.plan.tasters });
  }
  connect(house.dataFile).exec("PRAGMA wal_checkpoint(TRUNCATE)");
  const dataFile = join(folder, `${tasters}.sqlite`);
  copyFileSync(house.dataFile, dataFile);
  await house.close();
  return { dataFile, sittings };
}

interface Figures {
  perSecond: number;
  medianMilliseconds: number;
  worstOf100Milliseconds: number;
}

/** Runs `act` for every item, `wide` at a time, and times each. */
async function timed<Item>(
  items: readonly Item[],
  wide: number,
  act: (item: Item) => Promise<void>,
): Promise<Figures> {
  const times: number[] = [];
  const queue = [...items];
  const start = performance.now();
  const work = async () => {
    for (let item = queue.shift(); item !== undefined; item = queue.shift()) {
      const before = performance.now();
      await act(item);
      times.push(performance.now() - before);
    }
  };
  await Promise.all(Array.from({ length: wide }, work));
  const seconds = (performance.now() - start) / 1000;
  times.sort((one, other) => one - other);
  const at = (share: number) => times[Math.floor(share * (times.length - 1))] ?? Number.NaN;
  return {
    perSecond: items.length / seconds,
    medianMilliseconds: at(0.5),
    worstOf100Milliseconds: at(0.99),
  };
}

/** One set as its phone will answer it. */
interface Answer {
  phone: Phone;
  ordinal: number;
  chosen: string;
}

/** Sits down and loads the page with all sets; answers the first cup of each. */
async function takeSeat(phone: Phone, joinCode: string): Promise<Answer[]> {
  await phone.get(`/join/${joinCode}?language=en`);
  // Nobody sits down under a name that another has.
  const form = { name: `T ${randomUUID()}`, language: "en", consent: "yes", spit: "yes" };
  const joined = await phone.post(`/join/${joinCode}`, form);
  if (joined.status !== 303) throw new Error(joined.body);
  const { body } = await phone.get("/taste");
  const sets = body.split('class="set"').slice(1);
  return sets.map((set, at) => ({
    phone,
    ordinal: at + 1,
    chosen: /type="radio"[^>]* value="(\d{3})"/.exec(set)?.[1] ?? "",
  }));
}

async function submit({ phone, ordinal, chosen }: Answer): Promise<void> {
  const form = { key: `phone-set-${ordinal}-its-key`, step: "lock", e1: chosen, comment: "" };
  const answer = await phone.post(`/taste/${ordinal}`, form, "application/json");
  const { outcome } = outcomeSchema.parse(JSON.parse(answer.body));
  if (outcome !== "stored") throw new Error(answer.body);
}

describe("A thousand phones on one process", () => {
  let folder: string;
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), "evenpour-load-"));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  it("are answered at a fair share of what this machine's Fastify and durable SQLite can do alone", async () => {
    const { dataFile, sittings } = await seated(folder, 1000);
    const served = await serve(dataFile, PORT);
    const answers: Answer[] = [];
    const seats = sittings.flatMap(({ joinCode, tasters }) =>
      Array.from({ length: tasters }, () => ({ joinCode, phone: new Phone(() => served.origin) })),
    );
    const joins = await timed(seats, 50, async ({ phone, joinCode }) => {
      answers.push(...(await takeSeat(phone, joinCode)));
    });
    const ballots = await timed(answers, 100, submit);
    await served.stop();

    const bare = Fastify();
    bare.post("/", async () => ({ outcome: "stored" }));
    bare.addContentTypeParser("*", (_request, _body, done) => done(null));
    const origin = await bare.listen({ host: "127.0.0.1", port: 0 });
    const alone = await timed(answers.slice(0, 1000), 100, async ({ ordinal, chosen }) => {
      await new Phone(() => origin).post("/", { ordinal: String(ordinal), chosen });
    });
    await bare.close();
    const commits = durableCommits(join(folder, "bare.sqlite"), 500);
    tell("joins", joins);
    tell("ballots", ballots);
    tell("bare Fastify", alone);
    tell("bare durable commits", { perSecond: commits });

    // Ratios within this run: seconds by the clock depend on what else the machine does.
    expect(ballots.medianMilliseconds).toBeLessThan(20 * alone.medianMilliseconds);
    expect(ballots.perSecond).toBeGreaterThan(Math.min(alone.perSecond, commits) / 10);
  }, 600_000);

  it("cost no more each when ten thousand have sat down than when ten have", async () => {
    const perBallot = async (tasters: number) => {
      const { dataFile, sittings } = await seated(folder, tasters);
      const served = await serve(dataFile, PORT);
      const last = sittings.at(-1);
      if (last === undefined) throw new Error("nobody sits");
      const answers: Answer[] = [];
      for (let at = 0; at < 10; at += 1) {
        answers.push(...(await takeSeat(new Phone(() => served.origin), last.joinCode)));
      }
      const figures = await timed(answers, 5, submit);
      await served.stop();
      return figures.medianMilliseconds;
    };
    const few = await perBallot(10);
    const many = await perBallot(10_000);
    tell("median ms a ballot", { "with 10 tasters": few, "with 10,000 tasters": many });
    // Linear growth in all means a constant cost each; three times leaves room for noise.
    expect(many).toBeLessThan(3 * few + 20);
  }, 600_000);
});

/** Commits a second of one small row each, fully synchronous, by the driver alone. */
function durableCommits(file: string, count: number): number {
  const connection = connect(file);
  connection.exec("PRAGMA journal_mode = WAL");
  connection.exec("PRAGMA synchronous = FULL");
  connection.exec("CREATE TABLE ballot (id INTEGER PRIMARY KEY, answers TEXT)");
  const insert = prepare(connection, "INSERT INTO ballot (answers) VALUES (?)");
  const start = performance.now();
  for (let at = 0; at < count; at += 1) insert.run('{"e1":{"chosen":"417"}}');
  const seconds = (performance.now() - start) / 1000;
  connection.close();
  return count / seconds;
}

/** Prints figures beside the machine's own limits. */
function tell(what: string, figures: object): void {
  const shown = Object.entries(figures).map(
    ([name, value]) => `${name} ${Number(value).toFixed(1)}`,
  );
  process.stdout.write(`${what}: ${shown.join(", ")}\n`);
}
