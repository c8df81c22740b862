import { gzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { loadTemplates, templatesFolder } from "../../server/render.ts";
import { reportFields } from "../../server/report/report-page.ts";
import { savedReport } from "../../server/report/saved-report.ts";
import { planHash } from "../../src/design/seal.ts";
import { analyse } from "../../src/report/analysis.ts";
import { largePanel } from "../report/large-panel.ts";

describe("A report over 10,000 tasters and three coffees", () => {
  const evidence = largePanel(10_000);
  const { plan } = evidence;
  const before = performance.now();
  const findings = analyse(evidence);
  const seconds = (performance.now() - before) / 1000;
  const session = {
    id: "large",
    name: "Large",
    state: "unblinded",
    origin: "run-here",
    heldOn: null,
    plan,
    sealed: { plan, planJson: "", planHash: planHash(plan), commitment: "c", joinCode: "J" },
  } as const;
  const render = loadTemplates(templatesFolder);

  it("counts every answer", () => {
    expect(findings.endpoints.map(({ counts }) => counts.answers)).toEqual([
      30_000, 30_000, 30_000,
    ]);
  });

  it("is analysed in seconds", () => {
    // About 2 s alone on a small machine; the bound leaves room for one that is shared.
    expect(seconds).toBeLessThan(20);
  });

  it("is a page below 300 kB, and a light one on its way", () => {
    const fields = reportFields(
      session,
      { findings, amendments: [], events: [] },
      { forLead: true, saveHref: "/saved", roastery: "" },
    );
    const page = render("report/report", {
      ...fields,
      language: "en",
      leadName: null,
      csrf: "",
    });
    expect(Buffer.byteLength(page)).toBeLessThan(300_000);
    expect(gzipSync(page).length).toBeLessThan(40_000);
    const saved = savedReport({ render, roastery: "" }, session, {
      findings,
      amendments: [],
      events: [],
    });
    expect(Buffer.byteLength(saved)).toBeLessThan(300_000);
  });

  it("weighs little more than a report over twelve tasters", () => {
    const weight = (tasters: number) => {
      const found = tasters === 10_000 ? findings : analyse(largePanel(tasters));
      const fields = reportFields(
        session,
        { findings: found, amendments: [], events: [] },
        { forLead: true, saveHref: "/saved", roastery: "" },
      );
      return render("report/report", { ...fields, language: "en", leadName: null, csrf: "" })
        .length;
    };
    expect(weight(10_000)).toBeLessThan(3 * weight(12));
  });
});
