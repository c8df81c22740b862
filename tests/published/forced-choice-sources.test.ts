import { expect, it } from "vitest";
import { readPublished } from "./published-checks.ts";

const checks = [
  "critical-counts.json",
  "panel-sizes.json",
  "psychometric.json",
  "proportions.json",
  "distribution-tables.json",
].flatMap(readPublished);

it("distributions and forced-choice tests meet at least 70 published checks, a table counting as one", () => {
  const published = checks.filter((check) => check.origin === "published");
  expect(published.length).toBeGreaterThanOrEqual(70);
});

it("no check is there twice", () => {
  expect(new Set(checks.map((check) => check.id)).size).toBe(checks.length);
});

it("every value beyond the printed digits says what worked it out", () => {
  for (const { precise, preciseTool } of checks) {
    expect(precise === undefined).toBe(preciseTool === undefined);
  }
});
