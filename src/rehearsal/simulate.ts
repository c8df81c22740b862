import type { Kit } from "../design/kit-records.ts";
import type { Plan } from "../experiment/plan.ts";
import { decide } from "../report/analysis.ts";
import type { Assumptions } from "./assumptions.ts";
import type { Chance } from "./chance.ts";
import { simulatePanel } from "./panel.ts";
import { scenariosFor } from "./scenarios.ts";
import { countPanel, emptyTally, type Tally } from "./tally.ts";

/** What is rehearsed: a plan and a kit drawn for it, under assumptions, so many panels a scenario. */
export interface Rehearsal {
  plan: Plan;
  kit: Kit;
  assumptions: Assumptions;
  panels: number;
}

/**
 * Plays a whole plan many times over: panels drawn under each scenario go through the same analysis
 * as a real session, and what each would have said is counted. Gives the tallies after every round
 * of one panel a scenario, so that a caller can show progress, stop early and still have fair
 * counts. The tallies are the same objects throughout, growing.
 */
export function* simulate(rehearsal: Rehearsal, chance: Chance): Generator<readonly Tally[]> {
  const { plan, kit, assumptions, panels } = rehearsal;
  const endpointIds = plan.endpoints.map(({ id }) => id);
  const played = scenariosFor(plan, assumptions).map((scenario) => ({
    scenario,
    tally: emptyTally(scenario.name, endpointIds),
  }));
  const tallies = played.map(({ tally }) => tally);
  for (let round = 0; round < panels; round += 1) {
    for (const { scenario, tally } of played) {
      countPanel(tally, decide(simulatePanel({ plan, kit, scenario }, chance)));
    }
    yield tallies;
  }
}
