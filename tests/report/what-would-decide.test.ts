import { describe, expect, it } from "vitest";
import { panelNeeded } from "../../server/lead/panel-needed.ts";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { analyse } from "../../src/report/analysis.ts";
import { panelForecast } from "../../src/report/planning/panel.ts";
import type { PanelQuestion } from "../../src/report/planning/panel-test.ts";
import { planOutlook } from "../../src/report/planning.ts";
import {
  evidenceOf,
  pick,
  planFor,
  preferred,
  scored,
  seats,
  sweetness,
  triad,
  triangle,
} from "./sessions.ts";

const coffees = ["Sallow", "Petrel"];
const places = ["c1", "c2"].flatMap((coffee) => seats(3).map((seat, t) => ({ seat, coffee, t })));

function needsOf(plan: Plan, ballots: Parameters<typeof evidenceOf>[1]) {
  const needs = analyse(evidenceOf(plan, ballots)).endpoints[0]?.whatWouldDecide;
  if (!needs) throw new Error("nothing left to decide");
  return needs;
}

function plannedTasters(plan: Plan, endpoint: Endpoint) {
  const difference = planOutlook(plan).endpoints[0]?.difference;
  if (!difference) throw new Error("no endpoint");
  return panelNeeded(plan, endpoint, difference, 0.8);
}

function panelPage(question: PanelQuestion, plan: Plan) {
  const { alpha, tasters, brewPairsPerCoffee, replicates } = plan;
  const { needed } = panelForecast({
    question,
    alpha,
    power: 0.8,
    tasters,
    coffees: plan.coffees.length,
    brewPairsPerCoffee,
    replicates,
    controlPairsPerCoffee: 0,
  });
  return (needed?.stable ?? needed?.smallest)?.units;
}

describe("how many more tasters the report asks for", () => {
  it.each<[string, Endpoint, PanelQuestion, Parameters<typeof evidenceOf>[1]]>([
    [
      "repeated triangles",
      triangle,
      { kind: "apart", noticing: triangle.margin },
      places.map(({ seat, coffee, t }) => triad(t === 0, { seat, coffee })),
    ],
    [
      "repeated pairs",
      preferred,
      { kind: "liked", pickRate: (1 + preferred.margin) / 2 },
      places.map(({ seat, coffee, t }) => pick(t === 0 ? "B" : "A", { seat, coffee })),
    ],
  ])("is the plan's and the panel page's number for %s", (_name, endpoint, question, ballots) => {
    const plan = planFor([endpoint], coffees, { tasters: 3 });
    const more = needsOf(plan, ballots).moreTastersToFind ?? Number.NaN;
    expect(plannedTasters(plan, endpoint)).toBe(`${3 + more} tasters`);
    expect(panelPage(question, plan)).toBe(3 + more);
  });

  it("is never fewer than can reach alpha: six scorers, as 2/2⁵ is above 5 %", () => {
    const plan = planFor([sweetness], ["Bramble"], { tasters: 3 });
    // Differences of 0, 1 and 2 points: an SD of 1, a fraction of the margin.
    const ballots = seats(3).map((seat, t) => scored(50, 50 + t, { seat }));
    expect(needsOf(plan, ballots).moreTastersToFind).toBe(6 - 3);
  });
});
