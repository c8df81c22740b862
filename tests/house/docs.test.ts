import { existsSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { commands } from "../../server/command-line.ts";
import { settings } from "../../server/config.ts";
import { calculators } from "../../src/calculators/registry.ts";
import { readDocument, readTable } from "./markdown.ts";
import { sourceFiles } from "./sources.ts";

const DOCUMENTS = ["README.md", "DEVELOPERS.md"];

describe("README.md says what the program does", () => {
  it("opens with the job in one paragraph and the two commands", () => {
    const [title, job, start] = readDocument("README.md").split("\n\n");
    expect(title).toBe("# Evenpour");
    expect(job).toContain("coffee roastery");
    expect(start?.split("\n").slice(1, 3)).toEqual([
      "npm ci && npm run demo",
      "npm ci && npm test",
    ]);
  });

  it("lists every setting with its flag, variable, default and meaning", () => {
    const rows = readTable("README.md", ["flag", "variable", "default", "meaning"]);
    const known = Object.values(settings).map(({ flag, variable, fallback, help }) => [
      `--${flag}`,
      variable,
      fallback,
      help,
    ]);
    expect(rows.map((row) => row.map(plain))).toEqual(known);
  });

  it("lists every command", () => {
    const rows = readTable("README.md", ["command", "what it does"]);
    expect(rows.map((row) => row.map(plain))).toEqual(
      Object.entries(commands).map(([name, { summary }]) => [name, summary]),
    );
  });

  it("lists every calculator", () => {
    const rows = readTable("README.md", ["calculator", "what it answers"]);
    expect(rows.map((row) => row.map(plain))).toEqual(
      [...calculators.values()].map(({ name, summary }) => [name, summary]),
    );
  });
});

describe("Both documents", () => {
  it("name only EVENPOUR_ variables that the code reads, and leave none out", () => {
    const named = DOCUMENTS.flatMap((name) => variablesIn(readDocument(name)));
    const files = [...sourceFiles(["server", "src", "seed", "tests"]), "package.json"];
    const read = files.flatMap((file) => variablesIn(readFileSync(file, "utf8")));
    expect([...new Set(named)].sort()).toEqual([...new Set(read)].sort());
  });

  it("name only npm scripts that exist, and every one that checks", () => {
    const { scripts } = z
      .object({ scripts: z.record(z.string(), z.string()) })
      .parse(JSON.parse(readDocument("package.json")));
    const text = DOCUMENTS.map(readDocument).join("\n");
    const named = [...text.matchAll(/npm (?:run )?([a-z:]+)/g)]
      .map(([, name = ""]) => name)
      .filter((name) => name !== "ci");
    for (const name of named) expect(Object.keys(scripts)).toContain(name);
    for (const name of Object.keys(scripts)) expect(named).toContain(name);
  });

  it("name only files and folders that exist", () => {
    const places = DOCUMENTS.flatMap((name) =>
      [
        ...readDocument(name).matchAll(
          /`((?:src|server|tests|migrations|templates|seed|\.ci)\/[^`*]*)`/g,
        ),
      ].map(([, place = ""]) => place),
    );
    expect(places.length).toBeGreaterThan(20);
    expect(places.filter((place) => !existsSync(place))).toEqual([]);
  });

  it("keep the map of src as it is", () => {
    const map = readDocument("DEVELOPERS.md").split("```")[1] ?? "";
    const [source = ""] = map.split("\nserver/");
    const drawn = [...source.matchAll(/^ {2}([a-z]+)\/ /gm)].map(
      ([, folder = ""]) => `src/${folder}/`,
    );
    const folders = sourceFiles(["src"]).map((file) => file.split("/").slice(0, 2).join("/"));
    expect(drawn.toSorted()).toEqual(
      [...new Set(folders)].map((folder) => `${folder}/`).toSorted(),
    );
  });
});

function plain(cell: string): string {
  return cell.replaceAll("`", "");
}

function variablesIn(text: string): string[] {
  return [...text.matchAll(/\bEVENPOUR_[A-Z]+(?:_[A-Z]+)*\b/g)].map(([name]) => name);
}
