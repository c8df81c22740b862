import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, normalize } from "node:path";

/** Every TypeScript file below the given folders, by its path from the project's root. */
export function sourceFiles(folders: string[]): string[] {
  return folders.flatMap((folder) =>
    readdirSync(folder, { recursive: true, encoding: "utf8" })
      .filter((name) => name.endsWith(".ts"))
      .map((name) => join(folder, name)),
  );
}

/** The files of our own that a file imports, statically or when needed, by their paths from the root. */
export function importsIn(file: string): string[] {
  const source = readFileSync(file, "utf8");
  const targets = source.matchAll(/(?:\bfrom|\bimport\(|\bimport)\s*"(\.{1,2}\/[^"]+)"/g);
  return [...targets].map(([, target = ""]) => normalize(join(dirname(file), target)));
}
