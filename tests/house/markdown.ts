import { readFileSync } from "node:fs";

/** The text of a document at the project's root. */
export function readDocument(name: string): string {
  return readFileSync(name, "utf8");
}

/** Body rows of the table that has exactly this heading; cells as written. Throws when there is none. */
export function readTable(document: string, heading: string[]): string[][] {
  const lines = readDocument(document).split("\n");
  const start = lines.findIndex((line) => sameCells(cellsOf(line), heading));
  if (start === -1) throw new Error(`${document} has no table ${heading.join(" | ")}`);
  const body = lines.slice(start + 2);
  const end = body.findIndex((line) => !line.startsWith("|"));
  return body.slice(0, end === -1 ? undefined : end).map(cellsOf);
}

function cellsOf(line: string): string[] {
  return line
    .replace(/^\|/, "")
    .replace(/\|\s*$/, "")
    .split("|")
    .map((cell) => cell.trim());
}

function sameCells(left: string[], right: string[]): boolean {
  return left.join("|") === right.join("|");
}
