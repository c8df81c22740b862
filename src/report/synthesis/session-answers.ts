import type { Endpoint, Treatment } from "../../experiment/endpoint.ts";
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
  /** Of three cups it asked for the one with most, expecting this treatment's; null where it didn't. */
  expected: Treatment | null;
  /** It expected the other treatment than the sessions it is combined with. */
  contrary: boolean;
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
    expected: endpoint.kind === "attribute-difference" ? endpoint.expected : null,
    contrary: false,
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

/** Which treatment of the comparison was expected to have most of three cups; null without an expectation. */
export function expectedSide({ expected, swapped }: SessionAnswers): Treatment | null {
  if (expected === null || !swapped) return expected;
  return expected === "A" ? "B" : "A";
}

/** Marks those that expect the other treatment than the first one: three cups can't be turned round. */
export function withContraryMarked(sessions: readonly SessionAnswers[]): SessionAnswers[] {
  const [first] = sessions;
  return sessions.map((session) => ({
    ...session,
    contrary: first !== undefined && expectedSide(session) !== expectedSide(first),
  }));
}

/** What an endpoint's effect counts. */
export function unitOf({ kind }: Pick<Endpoint, "kind">): Unit {
  switch (kind) {
    case "attribute-difference":
      return "lean-of-three";
    case "overall-difference":
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
