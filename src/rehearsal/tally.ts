import { z } from "zod";
import type { Decision } from "../report/analysis.ts";
import { scenarioNames } from "./scenarios.ts";

const count = z.int().min(0);

/** How often each verdict came out of the panels played so far in one scenario. */
export const tallySchema = z.strictObject({
  scenario: z.enum(scenarioNames),
  panels: count,
  headlines: z.strictObject({
    different: count,
    "different-for-some": count,
    "close-enough": count,
    "not-settled": count,
    "not-sound": count,
  }),
  endpoints: z.array(
    z.strictObject({
      endpointId: z.string(),
      states: z.strictObject({
        difference: count,
        "trivial-difference": count,
        equivalence: count,
        inconclusive: count,
      }),
      /** The claim that the treatment matters, over brew pairs. */
      processShown: count,
    }),
  ),
});
export type Tally = z.infer<typeof tallySchema>;

export function emptyTally(scenario: Tally["scenario"], endpointIds: readonly string[]): Tally {
  return {
    scenario,
    panels: 0,
    headlines: {
      different: 0,
      "different-for-some": 0,
      "close-enough": 0,
      "not-settled": 0,
      "not-sound": 0,
    },
    endpoints: endpointIds.map((endpointId) => ({
      endpointId,
      states: { difference: 0, "trivial-difference": 0, equivalence: 0, inconclusive: 0 },
      processShown: 0,
    })),
  };
}

/** Counts one more panel in place: a tally is its counter's own, and copies would cost more than the counting. */
export function countPanel(tally: Tally, decision: Decision): void {
  tally.panels += 1;
  tally.headlines[decision.headline] += 1;
  for (const counted of tally.endpoints) {
    const found = decision.endpoints.find(({ endpointId }) => endpointId === counted.endpointId);
    if (!found) throw new Error(`The verdict lacks endpoint ${counted.endpointId}`);
    counted.states[found.state] += 1;
    if (found.process.status === "shown") counted.processShown += 1;
  }
}

/** A rate with the standard error of having played only so many panels. */
export function rateOf(hits: number, panels: number): { rate: number; standardError: number } {
  const rate = panels === 0 ? 0 : hits / panels;
  // Never quite sure: one more panel each way keeps a rate of 0 or 1 from claiming no error at all.
  const cautious = (hits + 1) / (panels + 2);
  return { rate, standardError: Math.sqrt((cautious * (1 - cautious)) / (panels + 2)) };
}
