import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import { stringify } from "csv-stringify/sync";
import { strFromU8, unzipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { z } from "zod";
import { playDemo } from "../../seed/demo.ts";
import { packageFiles, zipPackage } from "../../server/report/data-package.ts";
import { readPackage } from "../../server/report/read-package.ts";
import { analyse } from "../../src/report/analysis.ts";
import {
  columnsAddedLater,
  packageTables,
  tableNames,
  tablesAddedLater,
} from "../../src/report/package/tables.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { run } from "../commands/terminal.ts";
import { packagedSession } from "../report/packaged-session.ts";
import {
  answered,
  brightest,
  duoTrio,
  evidenceOf,
  planFor,
  seats,
  tetrad,
} from "../report/sessions.ts";

/** A table as it was before these columns. */
function without(text: string, columns: readonly string[]): string {
  const [heading = [], ...rows]: string[][] = parse(text, { bom: true });
  const kept = (cells: string[]) => cells.filter((_, at) => !columns.includes(heading[at] ?? ""));
  return stringify([heading, ...rows].map(kept), { record_delimiter: "windows" });
}

describe("A session's data package", () => {
  let house: House;
  let lead: Visitor;
  let files: Record<string, string>;
  let archive: Uint8Array;
  let report: string;
  const folder = mkdtempSync(join(tmpdir(), "package-"));
  const place = (name: string) => join(folder, name);
  beforeAll(async () => {
    house = await openHouse();
    const { finished } = await playDemo(house.deps);
    lead = await house.signedInLead();
    report = `/lead/sessions/${finished}/report`;
    const sent = await lead.get(`${report}/package.zip`);
    expect([sent.statusCode, sent.headers["content-type"]]).toEqual([200, "application/zip"]);
    archive = sent.rawPayload;
    files = Object.fromEntries(
      Object.entries(unzipSync(archive)).map(([name, bytes]) => [name, strFromU8(bytes)]),
    );
    writeFileSync(place("package.zip"), archive);
  }, 120_000);
  afterAll(async () => {
    await house.close();
    rmSync(folder, { recursive: true });
  });

  const descriptorSchema = z.object({
    $schema: z.literal("https://datapackage.org/profiles/2.0/datapackage.json"),
    resources: z.array(
      z.object({
        name: z.string().regex(/^[a-z0-9._-]+$/),
        path: z.string(),
        bytes: z.int(),
        hash: z.string(),
        schema: z
          .object({
            fields: z.array(
              z.object({
                name: z.string(),
                title: z.string().min(1),
                description: z.string().min(1),
                type: z.enum(["string", "integer", "number", "boolean", "datetime"]),
              }),
            ),
            missingValues: z.array(z.string()),
            primaryKey: z.array(z.string()),
          })
          .optional(),
      }),
    ),
  });

  it("has a descriptor that names every file with its size, hash and columns", async () => {
    const { resources } = descriptorSchema.parse(JSON.parse(files["datapackage.json"] ?? ""));
    expect(resources.map(({ path }) => path).sort()).toEqual(
      Object.keys(files)
        .filter((name) => name !== "datapackage.json" && name !== "README.md")
        .sort(),
    );
    for (const { path, bytes, hash, schema } of resources) {
      const data = Buffer.from(files[path] ?? "", "utf8");
      const digest = await crypto.subtle.digest("SHA-256", data);
      expect([path, bytes, hash]).toEqual([
        path,
        data.length,
        `sha256:${Buffer.from(digest).toString("hex")}`,
      ]);
      if (schema === undefined) continue;
      const heading = files[path]?.split("\r\n")[0];
      expect(heading).toBe(schema.fields.map(({ name }) => name).join(","));
    }
  });

  it("explains every column in its dictionary", () => {
    for (const name of tableNames) {
      expect(files["README.md"]).toContain(`## ${name}.csv`);
      for (const field of packageTables[name].fields) {
        expect(files["README.md"]).toContain(`| \`${field.name}\` | ${field.type}`);
      }
    }
  });

  it("names nobody", async () => {
    const aliases = await house.deps.store.selectFrom("tasters").select("alias").execute();
    expect(aliases.length).toBeGreaterThan(5);
    const cells = tableNames.flatMap((name) => (files[`${name}.csv`] ?? "").split(/[,\r\n]+/));
    expect(aliases.filter(({ alias }) => cells.includes(alias))).toEqual([]);
  });

  it("is the same archive every time it is asked for", async () => {
    const again = await lead.get(`${report}/package.zip`);
    expect(again.rawPayload.equals(archive)).toBe(true);
  });

  it("is analysed again to the last digit, as archive and as folder", async () => {
    const { code, out } = await run(["analyse", place("package.zip")]);
    expect(code).toBe(0);
    const page: unknown = JSON.parse((await lead.get(`${report}/session.json`)).body).findings;
    expect(JSON.parse(out)).toEqual(page);
    expect(`${JSON.stringify(page, null, 1)}\n`).toBe(files["findings.json"]);
    const compared = await run(["analyse", place("package.zip"), "--check"]);
    expect([compared.code, compared.out]).toEqual([0, "The same findings, to the last digit.\n"]);
    unpacked("whole", files);
    expect((await run(["analyse", place("whole"), "--check"])).code).toBe(0);
  });

  const unpacked = (name: string, contents: Record<string, string>) => {
    mkdirSync(place(name));
    for (const [file, text] of Object.entries(contents)) {
      writeFileSync(join(place(name), file), text);
    }
  };

  it("gives itself away when an answer was changed", async () => {
    const answers = files["answers.csv"] ?? "";
    const changed = answers.replace(
      /,TRUE,FALSE,\r\n(.*),FALSE,FALSE,\r\n/,
      ",FALSE,FALSE,\r\n$1,TRUE,FALSE,\r\n",
    );
    expect(changed).not.toBe(answers);
    writeFileSync(place("changed.zip"), zipPackage({ ...files, "answers.csv": changed }));
    const { code, out } = await run(["analyse", place("changed.zip"), "--check"]);
    expect(code).toBe(1);
    expect(out).toContain("Other findings than those in findings.json");
  });

  it.each<[string, (all: Record<string, string>) => Record<string, string>, string]>([
    [
      "a cell that is no number",
      (all) => ({
        ...all,
        "cups.csv": (all["cups.csv"] ?? "").replace(/(\r\n[^,]+,)\d+/, "$1two"),
      }),
      "cups.csv row 2, presentation: This is no whole number",
    ],
    ["a missing file", ({ "pots.csv": _, ...all }) => all, "pots.csv is missing"],
    [
      "a missing column",
      (all) => ({ ...all, "pots.csv": (all["pots.csv"] ?? "").replace("treatment", "treated") }),
      "pots.csv lacks the column treatment",
    ],
    ["a plan without a question", (all) => ({ ...all, "plan.json": "{}" }), "plan.json: "],
    ["JSON that is none", (all) => ({ ...all, "session.json": "{" }), "JSON"],
  ])("is refused with %s, named", async (what, change, problem) => {
    const name = what.replaceAll(" ", "-");
    unpacked(name, change(files));
    const { code, out, err } = await run(["analyse", place(name)]);
    expect([code, out]).toEqual([2, ""]);
    expect(err).toContain(problem);
  });

  it("carries voided sets, controls, “can't tell”, brews and text like formulas through unchanged", () => {
    const contents = {
      about: {},
      created: "2026-03-02T12:00:00.000Z",
      evidence: packagedSession,
      findings: analyse(packagedSession),
      events: [],
    };
    writeFileSync(place("odd.zip"), zipPackage(packageFiles(contents)));
    const read = readPackage(place("odd.zip"));
    const whole = { secondsOnScreen: null, secondsRested: null, answeredAt: null, repeats: null };
    expect(read).toEqual({
      ok: true,
      evidence: {
        ...packagedSession,
        mixUps: [],
        ballots: packagedSession.ballots.map((ballot) => ({ ...whole, ...ballot })),
      },
      findings: JSON.parse(JSON.stringify(contents.findings)),
    });
  });

  it.each([duoTrio, tetrad, brightest])(
    "carries sets of every method with their right answers: $kind, $method",
    (endpoint) => {
      const ballots = seats(12).map((seat, at) => answered(endpoint, at % 3 > 0, { seat }));
      const evidence = evidenceOf(planFor([endpoint]), ballots);
      const findings = analyse(evidence);
      expect(findings.endpoints[0]?.counts.correct).toBe(8);
      const contents = { about: {}, created: "", evidence, findings, events: [] };
      writeFileSync(place("method.zip"), zipPackage(packageFiles(contents)));
      const read = readPackage(place("method.zip"));
      if (!read.ok) throw new Error(read.problems.join());
      expect(analyse(read.evidence)).toEqual(findings);
    },
  );

  it("carries mixed-up sets, so that their readings are analysed again", () => {
    const [mixed] = packagedSession.ballots.filter(({ set, control }) => set === "ab" && !control);
    if (mixed === undefined) throw new Error("There is a pair");
    const [one, other] = mixed.cups;
    const codes = [one?.code ?? "", other?.code ?? ""] as const;
    const rowsWith = (file: string, text: string) =>
      (packed[file] ?? "").split("\r\n").filter((line) => line.includes(text));
    const { seatId, ordinal } = mixed;
    const evidence = {
      ...packagedSession,
      mixUps: [{ seatId, ordinal, codes, resolution: "corrected" as const }],
    };
    const findings = analyse(evidence);
    expect(findings.mixUps?.sets).toBe(1);
    const packed = packageFiles({ about: {}, created: "", evidence, findings, events: [] });
    writeFileSync(place("mixed.zip"), zipPackage(packed));
    expect(rowsWith("ballots.csv", ",corrected")).toEqual([
      expect.stringMatching(new RegExp(`^'?${seatId},${ordinal},`)),
    ]);
    expect(rowsWith("cups.csv", `,${codes[0]},`)[0]).toMatch(new RegExp(`,${codes[1]}$`));
    expect(rowsWith("cups.csv", `,${codes[1]},`)[0]).toMatch(new RegExp(`,${codes[0]}$`));
    const read = readPackage(place("mixed.zip"));
    if (!read.ok) throw new Error(read.problems.join());
    expect(analyse(read.evidence)).toEqual(findings);
  });

  it("of an earlier version reads as it did: what later columns hold is empty there", () => {
    // Neither rest nor pouring was known then.
    const { pourings: _, ...known } = packagedSession;
    const ballots = known.ballots.map((ballot) => ({
      ...ballot,
      secondsRested: null,
      answeredAt: null,
    }));
    const evidence = { ...known, ballots };
    const findings = analyse(evidence);
    const packed = packageFiles({ about: {}, created: "", evidence, findings, events: [] });
    const old = Object.entries(packed).flatMap(([file, text]) => {
      const table = tableNames.find((name) => file === `${name}.csv`);
      if (table === undefined) return [[file, text] as const];
      if (tablesAddedLater.includes(table)) return [];
      return [[file, without(text, columnsAddedLater[table] ?? [])] as const];
    });
    const tables = old.filter(([file]) => file.endsWith(".csv"));
    const headings = tables.flatMap(([, text]) => text.split("\r\n")[0]?.split(",") ?? []);
    for (const column of Object.values(columnsAddedLater).flat()) {
      expect(headings).not.toContain(column);
    }
    writeFileSync(place("old.zip"), zipPackage(Object.fromEntries(old)));
    const read = readPackage(place("old.zip"));
    if (!read.ok) throw new Error(read.problems.join());
    expect(read.evidence.pots[0]?.brew?.heldMinutes).toBeUndefined();
    expect(analyse(read.evidence)).toEqual(findings);
  });

  it("is refused when there is none, or no archive", async () => {
    writeFileSync(place("text.zip"), "no archive");
    expect((await run(["analyse", place("text.zip")])).err).toContain("neither a folder nor a zip");
    expect((await run(["analyse", place("nowhere")])).err).toContain("There is no file or folder");
    expect((await run(["analyse"])).err).toContain("evenpour analyse PACKAGE");
    expect((await run(["analyse", "one", "two"])).code).toBe(2);
    expect((await run(["analyse", "one", "--chekc"])).code).toBe(2);
  });
});
