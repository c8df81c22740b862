import { brewYields } from "./brew-yields.ts";
import { brewerFinding } from "./brewers.ts";
import { conductOf } from "./conduct.ts";
import { controlFindings } from "./controls.ts";
import { type Counted, countAll, countByRule } from "./counted.ts";
import { measureEndpoint } from "./endpoints/measure-endpoint.ts";
import type { Evidence } from "./evidence.ts";
import type { Findings, LeftOutFinding, SoundnessFault } from "./findings.ts";
import { judge } from "./judge.ts";
import { leadWithWeakest } from "./mix-up-lead.ts";
import { readingsOfMixUps } from "./mix-ups.ts";
import { panelQuality } from "./panel-quality.ts";
import { positionFindings } from "./positions.ts";
import { adviceOf, headlineOf } from "./verdict.ts";
import { whatWouldDecide } from "./what-would-decide.ts";

/** The verdict alone, with everything it rests on. */
export type Decision = Pick<
  Findings,
  | "alpha"
  | "headline"
  | "advice"
  | "primaryId"
  | "faults"
  | "endpoints"
  | "controls"
  | "brewers"
  | "conduct"
>;

/**
 * The analysis of one session: evidence in, findings out, nothing else. The same evidence gives the
 * same findings, in whatever order its ballots and pots come. With mixed-up sets it is done once for
 * each reading of them, and the weakest leads.
 */
export function analyse(evidence: Evidence): Findings {
  const readings = readingsOfMixUps(evidence);
  if (readings === null) return { ...analyseReading(evidence), mixUps: null };
  return leadWithWeakest(
    readings.sets,
    readings.of.map(({ reading, evidence: read }) => ({ reading, findings: analyseReading(read) })),
  );
}

/**
 * The evidence as the report reads it: with mixed-up sets, under the reading that leads. What is
 * combined over sessions goes by it too, so that no set counts there that the report doesn't rest on.
 */
export function leadingReading(evidence: Evidence): Evidence {
  const readings = readingsOfMixUps(evidence);
  if (readings === null) return evidence;
  const leads = analyse(evidence).mixUps?.leads;
  return readings.of.find(({ reading }) => reading === leads)?.evidence ?? evidence;
}

function analyseReading(evidence: Evidence): Omit<Findings, "mixUps"> {
  const { plan } = evidence;
  const counted = countByRule(evidence);
  const decision = decideOn(evidence, counted);
  return {
    ...decision,
    endpoints: decision.endpoints.map((finding) => ({
      ...finding,
      whatWouldDecide: whatWouldDecide(finding, plan),
    })),
    // Where an outside panel's cups stood is not known.
    positions:
      evidence.origin === "imported"
        ? []
        : positionFindings(plan.endpoints, counted.ballots, plan.alpha),
    panel: panelQuality(plan.endpoints, counted.ballots),
    brews: brewYields(countAll(evidence).pots, plan),
    leftOut: leftOutOf(evidence, counted),
  };
}

/** The same verdict without what a report adds around it: quick enough for thousands of panels. */
export function decide(evidence: Evidence): Decision {
  return decideOn(evidence, countByRule(evidence));
}

function decideOn(evidence: Evidence, counted: Counted): Decision {
  const { plan } = evidence;
  const { alpha } = plan;
  const brews = brewYields(counted.pots, plan);
  const endpoints = judge(
    plan.endpoints.map((endpoint) => measureEndpoint(endpoint, plan, counted, brews)),
    plan,
  );
  const primary = endpoints.find(({ role }) => role === "primary");
  if (!primary) throw new Error("A plan has one primary endpoint");
  const controls = controlFindings(plan.endpoints, counted.ballots, alpha);
  const brewers = brewerFinding(counted, primary, controls, brews, alpha);
  const conduct = conductOf(evidence, counted);
  const primaryId = primary.endpointId;
  const faults = faultsOf({ controls, brewers, conduct }, primaryId);
  const headline = headlineOf(primary, faults.length === 0);
  const advice = adviceOf(headline, primary);
  return { alpha, headline, advice, primaryId, faults, endpoints, controls, brewers, conduct };
}

/** What takes the ground from under the primary endpoint's verdict. */
function faultsOf(
  { controls, brewers, conduct }: Pick<Findings, "controls" | "brewers" | "conduct">,
  primaryId: string,
): SoundnessFault[] {
  const faults: SoundnessFault[] = [];
  if (conduct.blinding === "broken") faults.push("blind-broke");
  if (brewers.differBy !== null) faults.push("brewers-not-swapped");
  const ofPrimary = controls.filter(({ endpointId }) => endpointId === primaryId);
  if (ofPrimary.some(({ differsAsMuch }) => differsAsMuch)) faults.push("controls-differ");
  return faults;
}

/** What was left out, and the analysis again with all of it put back. */
function leftOutOf(evidence: Evidence, counted: Counted): LeftOutFinding {
  const { leftOut: ballots, rejectedPairs } = counted;
  if (ballots.length === 0 && rejectedPairs.length === 0) {
    return { ballots, rejectedPairs, repeated: null };
  }
  const { headline, endpoints } = decideOn(evidence, countAll(evidence));
  return {
    ballots,
    rejectedPairs,
    repeated: {
      headline,
      endpoints: endpoints.map(({ endpointId, counts, difference, state }) => ({
        endpointId,
        answers: counts.answers,
        pValue: difference.pValue,
        state,
      })),
    },
  };
}
