import { parse } from "csv-parse/sync";
import { describe, expect, it } from "vitest";
import { ballotsCsv, brewsCsv } from "../../server/report/export.ts";
import { analyse } from "../../src/report/analysis.ts";
import type { Evidence } from "../../src/report/evidence.ts";
import { packagedSession } from "../report/packaged-session.ts";

const rowsOf = (csv: string): Record<string, string>[] => parse(csv, { columns: true });

describe("brews.csv", () => {
  const noted: Evidence = {
    ...packagedSession,
    pots: packagedSession.pots.map((pot) => ({
      ...pot,
      brew: pot.brew && { ...pot.brew, tdsReadingsPercent: [1.38, 1.39], note: "=slow start" },
    })),
  };
  const rows = rowsOf(brewsCsv(noted, analyse(noted).brews));

  it("prints computed numbers without the tails of binary fractions", () => {
    expect((1.38 + 1.39) / 2).toBe(1.3849999999999998);
    expect(rows.map((row) => row.coffee_tds_percent)).toEqual(rows.map(() => "1.385"));
    const computed = [
      "coffee_tds_percent",
      "extraction_percent",
      "extraction_standard_uncertainty",
    ];
    for (const row of rows) {
      for (const column of computed) expect(row[column]).toMatch(/^\d+(\.\d{1,4})?$/);
    }
  });

  it("holds when a pot was poured, how warm it was served, what was zeroed on, and the note", () => {
    expect(rows[0]).toMatchObject({
      zero: "pure-water",
      held_min: "6.5",
      served_c: "61.5",
      note: "'=slow start",
    });
    expect(rows[1]).toMatchObject({ zero: "", held_min: "", served_c: "" });
  });
});

describe("ballots.csv", () => {
  it("marks the set and the two cups that a mix-up concerned, and no other", () => {
    const [mixed] = packagedSession.ballots.filter(({ set }) => set === "ab");
    if (mixed === undefined) throw new Error("There is a pair");
    const { seatId, ordinal, cups } = mixed;
    const codes = [cups[0]?.code ?? "", cups[1]?.code ?? ""] as const;
    const mixUps = [{ seatId, ordinal, codes, resolution: "corrected" as const }];
    const rows = rowsOf(ballotsCsv({ ...packagedSession, mixUps }));
    const marked = rows.filter((row) => row.mix_up !== "" || row.mixed_with !== "");
    expect(marked.map(({ code, mix_up, mixed_with }) => [code, mix_up, mixed_with])).toEqual([
      [codes[0], "corrected", codes[1]],
      [codes[1], "corrected", codes[0]],
    ]);
    expect(marked.map(({ treatment }) => treatment)).toEqual(
      cups.map(({ treatment }) => treatment),
    );
  });
});
