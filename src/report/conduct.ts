import { brewPairs } from "../experiment/plan.ts";
import type { ConductFinding } from "./checks.ts";
import { type Counted, pairKey } from "./counted.ts";
import type { Evidence } from "./evidence.ts";
import { groupBy } from "./observations.ts";

/** What was planned against what happened, and how far the session was blind. */
export function conductOf(evidence: Evidence, counted: Counted): ConductFinding {
  const { plan, blind, ballots, pots } = evidence;
  const openedEarly = blind.openedEarly.map((opening) => ({
    ...opening,
    answersAfter: ballots.filter((ballot) => isAfter(ballot.submittedAt, opening.at)).length,
  }));
  const testPots = pots.filter((pot) => !pot.controlPair);
  const logged = [...groupBy(testPots, pairKey).values()].filter((pair) =>
    pair.every((pot) => pot.brew !== null),
  );
  return {
    blinding: blindingOf(evidence, openedEarly),
    openedEarly,
    leadSawSheets: blind.leadSawSheets,
    tastersPlanned: plan.tasters,
    seatsStarted: evidence.seatsStarted,
    ballotsExpected: evidence.ballotsExpected,
    ballotsReceived: ballots.length,
    ballotsCounted: counted.ballots.length,
    brewPairsPlanned: brewPairs(plan),
    brewPairsLogged: logged.length,
    brewPairsRejected: counted.rejectedPairs.length,
    sameTreatmentPairsPlanned: plan.coffees.length * plan.controls.sameTreatmentPairsPerCoffee,
    samePotControlsPlanned: plan.controls.samePot,
  };
}

function blindingOf(
  { origin, blind }: Evidence,
  openedEarly: ConductFinding["openedEarly"],
): ConductFinding["blinding"] {
  if (origin === "imported") return "not-blinded-here";
  if (openedEarly.some(({ answersAfter }) => answersAfter > 0)) return "broken";
  return blind.leadSawSheets.length > 0 ? "single-blind" : "double-blind";
}

/** Answers given once the key was known to someone are no longer blind. */
function isAfter(time: string, opening: string): boolean {
  return Date.parse(time) >= Date.parse(opening);
}
