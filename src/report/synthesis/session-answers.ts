import type { Endpoint } from "../../experiment/endpoint.ts";
import type { Plan } from "../../experiment/plan.ts";
import { brewYields, type YieldPair, yieldPairs } from "../brew-yields.ts";
import { countByRule } from "../counted.ts";
import type { Evidence } from "../evidence.ts";
import type { Unit } from "../finding-parts.ts";
import { type Observation, observe, testOnly } from "../observations.ts";

/** What one session says to one question: test answers that count, and brew pairs where it asks for yields. */
export interface SessionAnswers {
  label: string;
  unit: Unit;
  /** Of three cups it asked for the one with more, expecting one treatment's: it can't be turned round. */
  directed: boolean;
  /** The treatments stand the other way round than in the comparison. */
  swapped: boolean;
  coffees: Plan["coffees"];
  observations: readonly Observation[];
  yields: readonly YieldPair[];
}

/** Takes one question's answers out of a session's evidence. */
export function sessionAnswers(
  evidence: Evidence,
  endpoint: Endpoint,
  { label, swapped }: { label: string; swapped: boolean },
): SessionAnswers {
  const { plan } = evidence;
  const counted = countByRule(evidence);
  return {
    label,
    unit: unitOf(endpoint),
    directed: endpoint.kind === "attribute-difference",
    swapped,
    coffees: plan.coffees,
    observations: testOnly(observe(endpoint, counted.ballots).observations),
    yields: endpoint.kind === "extraction-yield" ? yieldPairs(brewYields(counted.pots, plan)) : [],
  };
}

/** The same session's answers on some of its coffees only. */
export function onCoffees(
  session: SessionAnswers,
  belongs: (coffee: Plan["coffees"][number]) => boolean,
): SessionAnswers {
  const coffees = session.coffees.filter(belongs);
  const ids = new Set(coffees.map(({ id }) => id));
  return {
    ...session,
    coffees,
    observations: session.observations.filter(({ coffeeId }) => ids.has(coffeeId)),
    yields: session.yields.filter(({ coffeeId }) => ids.has(coffeeId)),
  };
}

/** What an endpoint's effect counts. */
export function unitOf({ kind }: Pick<Endpoint, "kind">): Unit {
  switch (kind) {
    case "overall-difference":
    case "attribute-difference":
      return "distinguishers";
    case "direction":
    case "preference":
      return "lean";
    case "attribute-score":
      return "scale-points";
    case "extraction-yield":
      return "yield-points";
  }
}
