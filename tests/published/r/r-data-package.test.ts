import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { packageFiles } from "../../../server/report/data-package.ts";
import { analyse } from "../../../src/report/analysis.ts";
import { tableNames } from "../../../src/report/package/tables.ts";
import { packagedSession } from "../../report/packaged-session.ts";

const findings = analyse(packagedSession);
const files = packageFiles({
  about: { id: "packed", name: "Packed", heldOn: null, planHash: "", commitment: "" },
  created: "2026-03-02T12:00:00.000Z",
  evidence: packagedSession,
  findings,
  events: [],
});
const endpoint = (id: string) => {
  const found = findings.endpoints.find(({ endpointId }) => endpointId === id);
  if (found === undefined) throw new Error(`no endpoint ${id}`);
  return found;
};

/** What base R found in the package: package.R, run on the files in package/. */
const r = z
  .record(z.string(), z.union([z.number(), z.string()]))
  .parse(JSON.parse(readFileSync(new URL("data-package.json", import.meta.url), "utf8")));

describe("A data package read by base R", () => {
  it.each(tableNames)("%s.csv is the file that R read", async (name) => {
    const path = new URL(`data-package/${name}.csv`, import.meta.url).pathname;
    await expect(files[`${name}.csv`]).toMatchFileSnapshot(path);
  });

  it("holds the same triangles with the same p", () => {
    const { counts, difference } = endpoint("e1");
    expect([counts.correct, counts.answers]).toEqual([r.right, r.triangles]);
    expect(difference.pValue).toBeCloseTo(Number(r.trianglesPValue), 14);
    // What data-package.py prints: Python 3, its standard library alone.
    expect([counts.correct, counts.answers]).toEqual([25, 47]);
    expect(difference.pValue).toBeCloseTo(0.003915954164788587, 15);
  });

  it("holds the same picks, and “can't tell” apart from them", () => {
    const { counts, companions, cannotTell } = endpoint("e2");
    expect([counts.pickedB, counts.answers]).toEqual([r.pickedB, r.picks]);
    expect(companions.strictBinomialPValue).toBeCloseTo(Number(r.preferencePValue), 14);
    expect(cannotTell?.test.count).toBe(r.cannotTell);
  });

  it("holds the same scores: mean over tasters, interval and t", () => {
    const { estimate, companions } = endpoint("e3");
    expect(estimate?.value).toBeCloseTo(Number(r.scoreMean), 12);
    expect(estimate?.lower).toBeCloseTo(Number(r.scoreLower), 10);
    expect(companions.tPValue).toBeCloseTo(Number(r.scorePValue), 12);
  });

  it("holds the same brews", () => {
    for (const treatment of ["A", "B"] as const) {
      const yields = findings.brews
        .filter((brew) => brew.treatment === treatment)
        .map(({ extractionPercent }) => extractionPercent ?? Number.NaN);
      const mean = yields.reduce((sum, value) => sum + value, 0) / yields.length;
      expect(mean).toBeCloseTo(Number(r[`meanYield${treatment}`]), 12);
    }
  });
});
