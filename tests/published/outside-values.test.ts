import { expect, test } from "vitest";
import { readPublished } from "./published-checks.ts";

const files = [
  "water-chemistry.json",
  "conductivity.json",
  "brewing.json",
  "uncertainty.json",
  "water-cautions.json",
];

test("water, brew and safety rest on at least eighty values printed elsewhere", () => {
  const checks = files.flatMap(readPublished);
  // What we or another program worked out, and trade facts without a source, are not outside values.
  const outside = checks.filter(
    (check) => check.origin === "published" && !check.source.startsWith("common practice"),
  );
  expect(outside.flatMap((check) => check.expected).length).toBeGreaterThanOrEqual(80);
  expect(outside.length).toBeGreaterThanOrEqual(60);
});
