import type { EndpointKind, Treatment } from "../../experiment/endpoint.ts";
import type { MethodName } from "../../statistics/methods/method.ts";
import type { CoffeeFinding } from "../coffee-finding.ts";
import type { EndpointFinding } from "../endpoint-finding.ts";
import type { Counts, DifferenceTest, Estimate, MarginTest } from "../finding-parts.ts";

/** What a sentence about one sample needs to know; the catalogue turns it into words. */
export interface SampleFacts {
  kind: EndpointKind;
  attribute: string | null;
  method: MethodName | null;
  names: Record<Treatment, string>;
  counts: Counts;
  estimate: Estimate | null;
  difference: DifferenceTest;
  margin: MarginTest;
  coffees: number;
}

/** Facts of an endpoint, or of one of its coffees when it is given. */
export function factsOf(
  finding: EndpointFinding,
  names: Record<Treatment, string>,
  coffee?: CoffeeFinding,
): SampleFacts {
  const { counts, estimate, difference, margin } = coffee ?? finding;
  return {
    kind: finding.kind,
    attribute: finding.attribute,
    method: finding.method,
    names,
    counts,
    estimate,
    difference,
    margin,
    coffees: coffee ? 1 : finding.coffees.length,
  };
}

/** The treatment that the sample leans to; B when it leans neither way. */
export function leader(facts: Pick<SampleFacts, "estimate">): Treatment {
  return (facts.estimate?.value ?? 0) < 0 ? "A" : "B";
}
