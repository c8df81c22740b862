import type { EndpointFinding } from "./endpoint-finding.ts";
import type { Findings, MixUpReading } from "./findings.ts";

type ReadFindings = Omit<Findings, "mixUps">;
interface Reading {
  reading: MixUpReading;
  findings: ReadFindings;
}

/**
 * The findings of the reading that claims least on the main question, with a line for every reading.
 * Each further question is given under its own weakest reading, so that none profits from the choice.
 */
export function leadWithWeakest(sets: number, readings: readonly Reading[]): Findings {
  const [first, ...rest] = readings;
  if (first === undefined) throw new Error("Mixed-up sets have at least one reading");
  const weakest = rest.reduce((weak, next) => (isWeaker(next, weak) ? next : weak), first);
  return {
    ...weakest.findings,
    endpoints: weakest.findings.endpoints.map((finding) => weakestOf(finding, readings)),
    mixUps: { sets, leads: weakest.reading, readings: readings.map(line) },
  };
}

function line({ reading, findings }: Reading) {
  return {
    reading,
    headline: findings.headline,
    endpoints: findings.endpoints.map(({ endpointId, counts, difference, companions, state }) => ({
      endpointId,
      counts,
      pValue: difference.pValue,
      strictBinomialPValue: companions.strictBinomialPValue,
      state,
    })),
  };
}

function isWeaker(next: Reading, weak: Reading): boolean {
  const faults = next.findings.faults.length - weak.findings.faults.length;
  if (faults !== 0) return faults > 0;
  return claimsLess(primaryOf(next), primaryOf(weak));
}

function primaryOf({ findings }: Reading): EndpointFinding {
  const primary = findings.endpoints.find(({ endpointId }) => endpointId === findings.primaryId);
  if (primary === undefined) throw new Error("Findings have one primary endpoint");
  return primary;
}

function weakestOf(finding: EndpointFinding, readings: readonly Reading[]): EndpointFinding {
  const all = readings.flatMap(({ findings }) =>
    findings.endpoints.filter(({ endpointId }) => endpointId === finding.endpointId),
  );
  return all.reduce((weak, next) => (claimsLess(next, weak) ? next : weak), finding);
}

/** Fewer claims are weaker; with as many, the larger p of the difference, then of the margin. */
function claimsLess(next: EndpointFinding, weak: EndpointFinding): boolean {
  const claims = claimsOf(next) - claimsOf(weak);
  if (claims !== 0) return claims < 0;
  const [first, second] =
    next.state === "equivalence"
      ? (["margin", "difference"] as const)
      : (["difference", "margin"] as const);
  const byFirst = pOf(next[first]) - pOf(weak[first]);
  return byFirst !== 0 ? byFirst > 0 : pOf(next[second]) > pOf(weak[second]);
}

function claimsOf({ difference, margin, process, coffees }: EndpointFinding): number {
  const named = coffees.filter(({ exception }) => exception !== null).length;
  const overall = [difference.shown, margin.within, process.status === "shown"];
  return named + overall.filter((claim) => claim).length;
}

/** Nothing answered claims nothing. */
const pOf = ({ pValue }: { pValue: number | null }) => pValue ?? 1;
