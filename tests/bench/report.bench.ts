import { bench, describe } from "vitest";
import { loadTemplates, templatesFolder } from "../../server/render.ts";
import { savedReport } from "../../server/report/saved-report.ts";
import { analyse } from "../../src/report/analysis.ts";
import { largePanel } from "../report/large-panel.ts";

/** Ten times the tasters, three coffees, three questions: how a report grows. */
const panels = [100, 1000, 10_000].map((tasters) => ({ tasters, evidence: largePanel(tasters) }));
const render = loadTemplates(templatesFolder);

describe("The analysis of a session", () => {
  for (const { tasters, evidence } of panels) {
    bench(`over ${tasters} tasters × 3 coffees`, () => void analyse(evidence), {
      iterations: 3,
      time: 0,
      warmupIterations: 1,
      warmupTime: 0,
    });
  }
});

describe("The page of a report, analysed already", () => {
  for (const { tasters, evidence } of panels) {
    const findings = analyse(evidence);
    const { plan } = evidence;
    const session = {
      id: "bench",
      name: "Bench",
      state: "unblinded",
      origin: "run-here",
      heldOn: null,
      plan,
      sealed: { plan, planJson: "", planHash: "", commitment: "", joinCode: "" },
    } as const;
    bench(`over ${tasters} tasters × 3 coffees`, () => {
      savedReport({ render, roastery: "" }, session, { findings, amendments: [], events: [] });
    });
  }
});
