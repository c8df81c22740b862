import { spawn } from "node:child_process";
import { once } from "node:events";
import { describe, expect, it } from "vitest";
import { calculators } from "../../src/calculators/registry.ts";
import { builtProgram, run, runBuilt } from "./terminal.ts";

const triangles = { method: "triangle", assessments: 12, correct: 8 };
const asked = JSON.stringify(triangles);

describe("evenpour calc", () => {
  it("lists every calculator with a tab and one sentence", async () => {
    const { code, out } = await run(["calc", "--list"]);
    const lines = out.trimEnd().split("\n");
    expect(code).toBe(0);
    expect(lines.map((line) => line.split("\t")[0])).toEqual([...calculators.keys()]);
    for (const line of lines) expect(line).toMatch(/^[a-z-]+\t[^\t]+[.?]$/);
  });

  it("prints JSON Schemas of input and output for every calculator", async () => {
    for (const name of calculators.keys()) {
      const { code, out } = await run(["calc", name, "--schema"]);
      const { input, output } = JSON.parse(out);
      expect([code, typeof input, typeof output]).toEqual([0, "object", "object"]);
    }
  });

  // ISO 4120:2004 table A.1: twelve triangles need eight correct at alpha 0.05.
  it("answers one object with one object and exit 0", async () => {
    const { code, out, err } = await run(["calc", "discrimination-test"], asked);
    expect([code, err]).toEqual([0, ""]);
    expect(out.trimEnd().split("\n")).toHaveLength(1);
    expect(JSON.parse(out)).toMatchObject({ criticalCount: 8, significant: true });
  });

  it("refuses bad input with exit 2, an issue at its path and nothing on standard output", async () => {
    const bad = JSON.stringify({ ...triangles, correct: 13, guess: 1 });
    const { code, out, err } = await run(["calc", "discrimination-test"], bad);
    expect([code, out]).toEqual([2, ""]);
    const { error } = JSON.parse(err);
    expect(error.code).toBe("invalid-input");
    expect(error.message.length).toBeGreaterThan(10);
    expect(Array.isArray(error.issues)).toBe(true);
    const tooMany = await run(
      ["calc", "discrimination-test"],
      JSON.stringify({ ...triangles, correct: 13 }),
    );
    expect(JSON.parse(tooMany.err).error.issues).toMatchObject([{ path: ["correct"] }]);
  });

  // RFC 8259, 8.1: a parser may ignore a byte-order mark.
  it("reads text that begins with a byte-order mark, whole and by lines", async () => {
    const marked = [Buffer.from([0xef, 0xbb, 0xbf]), Buffer.from(`${asked}\n`)];
    for (const args of [[], ["--lines"]]) {
      const { code, out } = await run(["calc", "discrimination-test", ...args], marked);
      expect([code, JSON.parse(out).criticalCount]).toEqual([0, 8]);
    }
  });

  it("calls text that is no JSON invalid-json", async () => {
    for (const text of ["", "{", "{} {}", "{method: 1}"]) {
      const { code, out, err } = await run(["calc", "describe"], text);
      expect([text, code, out]).toEqual([text, 2, ""]);
      expect(JSON.parse(err).error.code).toBe("invalid-json");
    }
  });

  it("names the nearest calculator for an unknown name", async () => {
    const { code, out, err } = await run(["calc", "discriminatoin-test"], asked);
    expect([code, out]).toEqual([2, ""]);
    const { error } = JSON.parse(err);
    expect(error).toMatchObject({ code: "unknown-calculator", nearest: "discrimination-test" });
    expect(error.message).toContain("Did you mean discrimination-test?");
    // Nobody who asks for espresso mistyped anything.
    const far = JSON.parse((await run(["calc", "espresso"], asked)).err).error;
    expect([...calculators.keys()]).toContain(far.nearest);
    expect(far.message).toBe(
      "There is no calculator espresso. Look it up in the list of calculators.",
    );
    for (const name of ["__proto__", "constructor", ""]) {
      expect((await run(["calc", name], asked)).code).toBe(2);
    }
  });

  it("says how it is called when the call makes no sense", async () => {
    for (const args of [[], ["a", "b"], ["describe", "--all"], ["describe", "--list"]]) {
      const { code, err } = await run(["calc", ...args]);
      expect([code, err]).toEqual([2, expect.stringContaining("evenpour calc NAME --lines")]);
    }
    expect((await run(["calc", "--help"])).out).toContain("Exit codes");
  });
});

describe("evenpour calc --lines", () => {
  it("answers line by line in order, bad lines in their place, and exits 1", async () => {
    const text = `${asked}\n\n{"method":\n  \n{"method":"triangle"}\r\n${asked}`;
    const { code, out, err } = await run(["calc", "discrimination-test", "--lines"], text);
    const answers = out
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect([code, err]).toEqual([1, ""]);
    expect(answers.map((answer) => answer.error?.code ?? answer.criticalCount)).toEqual([
      8,
      "invalid-json",
      "invalid-input",
      8,
    ]);
  });

  it("exits 0 when all lines are good, and when there are none", async () => {
    expect((await run(["calc", "describe", "--lines"], '{"values":[1]}\n')).code).toBe(0);
    expect(await run(["calc", "describe", "--lines"], "\n\n")).toEqual({
      code: 0,
      out: "",
      err: "",
    });
  });

  it("keeps letters and lines whole when they are cut between chunks", async () => {
    const line = `{"coffees":[{"label":"Säl\u2028low","correct":8,"assessments":12},{"label":"b","correct":4,"assessments":12}],"method":"triangle"}\n`;
    const bytes = Buffer.from(line + line);
    const singles = Array.from(bytes, (byte) => Buffer.from([byte]));
    const { code, out } = await run(["calc", "across-coffees", "--lines"], singles);
    const labels = out
      .trimEnd()
      .split("\n")
      .map((answer) => JSON.parse(answer).adjusted[0].label);
    expect([code, labels]).toEqual([0, ["Säl\u2028low", "Säl\u2028low"]]);
  });

  it("gives each line the answer that it gets alone", async () => {
    const inputs = Array.from({ length: 40 }, (_, i) =>
      JSON.stringify({ method: "tetrad", assessments: 20, correct: i % 25 }),
    );
    const together = await run(["calc", "discrimination-test", "--lines"], inputs.join("\n"));
    const alone = await Promise.all(
      inputs.map((input) => run(["calc", "discrimination-test"], input)),
    );
    expect(together.out.trimEnd().split("\n")).toEqual(
      alone.map(({ out, err }) => (out + err).trimEnd()),
    );
  });
});

describe("The built program", () => {
  it("starts a calculator without loading server or store", async () => {
    const { code, out, err } = await runBuilt(["calc", "discrimination-test"], asked);
    expect([code, JSON.parse(out).criticalCount, err]).toEqual([0, 8, ""]);
    const loaded = await modulesLoadedBy(["calc", "--list"]);
    expect(loaded).toContain("zod");
    for (const heavy of ["fastify", "better-sqlite3", "kysely", "handlebars"]) {
      expect(loaded).not.toContain(heavy);
    }
  });

  it("answers 100,000 discrimination tests within seconds, in order", async () => {
    const methods = ["triangle", "duo-trio", "tetrad", "three-afc", "paired-comparison"];
    const inputs = Array.from({ length: 100_000 }, (_, i) => {
      const assessments = 10 + (i % 190);
      return { method: methods[i % 5], assessments, correct: (i * 7) % (assessments + 1) };
    });
    const text = `${inputs.map((input) => JSON.stringify(input)).join("\n")}\n`;
    const started = performance.now();
    const { code, out } = await runBuilt(["calc", "discrimination-test", "--lines"], text);
    const seconds = (performance.now() - started) / 1000;
    const answers = out
      .trimEnd()
      .split("\n")
      .map((line) => JSON.parse(line));
    expect(code).toBe(0);
    expect(answers.map((answer) => answer.proportionCorrect.estimate)).toEqual(
      inputs.map(({ correct, assessments }) => correct / assessments),
    );
    expect(seconds).toBeLessThan(30);
  });

  it("answers a line before the next one comes, and waits for a slow reader", async () => {
    const child = spawn(process.execPath, [builtProgram, "calc", "describe", "--lines"]);
    // Killed with a full pipe, it leaves the last write unanswered.
    child.stdin.on("error", () => {});
    child.stdin.write('{"values":[1,3]}\n');
    const [first] = await once(child.stdout, "data");
    child.stdout.pause();
    expect(JSON.parse(String(first)).mean).toBe(2);
    const accepted = await writeUntilRefused(child.stdin);
    expect(accepted).toBeLessThan(20 * 2 ** 20);
    child.kill();
    await once(child, "close");
  });

  it("ends quietly when its reader stops early", async () => {
    const child = spawn(process.execPath, [builtProgram, "calc", "describe", "--lines"]);
    let complaint = "";
    child.stderr.on("data", (data) => {
      complaint += data;
    });
    child.stdin.on("error", () => {});
    child.stdin.write('{"values":[1,3]}\n');
    await once(child.stdout, "data");
    child.stdout.destroy();
    child.stdin.end('{"values":[1,3]}\n'.repeat(10_000));
    await once(child, "close");
    expect(complaint).toBe("");
  });
});

/** Package names of everything that a run imports, as Node's own module loader reports it. */
async function modulesLoadedBy(args: string[]): Promise<Set<string>> {
  const child = spawn(process.execPath, [builtProgram, ...args], {
    env: { ...process.env, NODE_DEBUG: "esm,module" },
  });
  let trace = "";
  child.stderr.on("data", (data) => {
    trace += data;
  });
  child.stdout.resume();
  await once(child, "close");
  const found = trace.matchAll(/node_modules\/((?:@[^/\s"']+\/)?[^/\s"']+)/g);
  return new Set([...found].flatMap(([, name]) => name ?? []));
}

/** Bytes that a pipe takes while nobody reads the answers; stops when it refuses for a second. */
async function writeUntilRefused(input: NodeJS.WritableStream): Promise<number> {
  const block = '{"values":[1,2,3,4,5,6,7,8,9]}\n'.repeat(2_000);
  let accepted = 0;
  for (;;) {
    const taken = await Promise.race([
      new Promise<boolean>((resolve) => input.write(block, () => resolve(true))),
      new Promise<boolean>((resolve) => setTimeout(() => resolve(false), 1_000)),
    ]);
    if (!taken) return accepted;
    accepted += block.length;
  }
}
