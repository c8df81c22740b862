import { describe, expect, it } from "vitest";
import { readTable } from "./markdown.ts";
import { importsIn, sourceFiles } from "./sources.ts";

const PLACES = ["src", "server", "migrations", "seed"];

/** Which places each part may import from: the table in DEVELOPERS.md, its parts in order. */
const table = readTable("DEVELOPERS.md", ["part", "may import"]).flatMap(
  ([parts = "", allowed = ""]) =>
    namesIn(parts).map((part) => ({ part, allowed: namesIn(allowed) })),
);

describe("Imports follow the arrows of DEVELOPERS.md", () => {
  it("in every file of src, server, migrations and seed", () => {
    const files = sourceFiles(PLACES);
    expect(files.length).toBeGreaterThan(100);
    expect(files.flatMap((file) => offences(file, importsIn(file)))).toEqual([]);
  });

  it("and every folder has its row, every row its folder", () => {
    const parts = sourceFiles(PLACES).map((file) => partOf(file));
    const homeless = sourceFiles(PLACES).filter((file) => partOf(file) === undefined);
    expect(homeless).toEqual([]);
    expect(table.map((row) => row.part).filter((part) => !parts.includes(part))).toEqual([]);
  });

  it("so that a planted import against them is caught", () => {
    const planted: [string, string][] = [
      ["src/statistics/binomial.ts", "src/report/verdict.ts"],
      ["src/report/verdict.ts", "server/form.ts"],
      ["src/design/kit.ts", "src/experiment/plan.ts"],
      ["server/store/leads.ts", "server/lead/sign-in.ts"],
      ["server/taster/entry.ts", "server/lead/sign-in.ts"],
      ["migrations/0001-leads.ts", "server/store/schema.ts"],
    ];
    for (const [file, target] of planted) {
      expect(offences(file, [target])).toEqual([`${file} must not import ${target}`]);
    }
    expect(offences("server/lead/sign-in.ts", ["server/store/leads.ts"])).toEqual([]);
  });
});

function offences(file: string, targets: string[]): string[] {
  const part = partOf(file);
  const row = table.find((candidate) => candidate.part === part);
  return targets
    .filter((target) => partOf(target) !== part)
    .filter((target) => row?.allowed.some((place) => holds(place, target)) !== true)
    .map((target) => `${file} must not import ${target}`);
}

/** The row with the longest name that holds the file. */
function partOf(file: string): string | undefined {
  return table
    .map((row) => row.part)
    .filter((part) => holds(part, file))
    .toSorted((a, b) => b.length - a.length)[0];
}

/** `src/water` holds all below it; `server/*.ts` only the files directly in it. */
function holds(place: string, file: string): boolean {
  if (!place.endsWith("/*.ts")) return file === place || file.startsWith(`${place}/`);
  const folder = place.slice(0, -"*.ts".length);
  return file.startsWith(folder) && !file.slice(folder.length).includes("/");
}

function namesIn(cell: string): string[] {
  return [...cell.matchAll(/`([^`]+)`/g)].flatMap(([, name]) => name ?? []);
}
