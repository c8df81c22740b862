import { type Endpoint, isRightOrWrong, methodOf } from "../experiment/endpoint.ts";
import { binomialPValue, reachesAlpha } from "../statistics/binomial.ts";
import { methods } from "../statistics/discrimination.ts";
import type { MethodName } from "../statistics/methods/method.ts";
import { holm } from "../statistics/multiplicity.ts";
import type { ControlFinding } from "./checks.ts";
import { pairKey } from "./counted.ts";
import { measureFor } from "./endpoints/measure-endpoint.ts";
import { naming } from "./endpoints/naming.ts";
import { mean } from "./endpoints/taster-means.ts";
import type { ControlKind, UnblindedBallot } from "./evidence.ts";
import { groupBy, type Observation, observe, testOnly } from "./observations.ts";

/** Endpoints that tasters answer, and so have control pairs. */
type Answered = Exclude<Endpoint, { kind: "extraction-yield" }>;

const isAnswered = (endpoint: Endpoint): endpoint is Answered =>
  endpoint.kind !== "extraction-yield";

/**
 * What people found in pairs that should not differ, one finding per question and kind of control
 * pair that was answered. A question whose control pairs differ beyond luck and as much as the
 * treatments do carries no verdict.
 */
export function controlFindings(
  endpoints: readonly Endpoint[],
  ballots: readonly UnblindedBallot[],
  alpha: number,
): ControlFinding[] {
  return endpoints.filter(isAnswered).flatMap((endpoint) => {
    const { observations } = observe(endpoint, ballots);
    return (["same-pot", "same-treatment"] as const).flatMap((control) => {
      const own = observations.filter((one) => one.control === control);
      return own.length > 0 ? [findIn(endpoint, control, own, testOnly(observations), alpha)] : [];
    });
  });
}

function findIn(
  endpoint: Answered,
  control: ControlKind,
  own: readonly Observation[],
  tests: readonly Observation[],
  alpha: number,
): ControlFinding {
  const compared = compare(endpoint, control, own, tests);
  const { pValue, size, testSize } = compared;
  const beyondLuck = pValue !== null && reachesAlpha(pValue, alpha);
  const asMuch = size !== null && testSize !== null && size >= testSize;
  return {
    endpointId: endpoint.id,
    method: naming(endpoint).method,
    control,
    answers: own.length,
    pairs: new Set(own.map(pairKey)).size,
    ...compared,
    differsAsMuch: beyondLuck && asMuch,
  };
}

type Comparison = Pick<
  ControlFinding,
  "count" | "chance" | "meanAbsoluteDifference" | "pValue" | "size" | "testSize"
>;

function compare(
  endpoint: Answered,
  control: ControlKind,
  own: readonly Observation[],
  tests: readonly Observation[],
): Comparison {
  if (isRightOrWrong(endpoint)) return compareRight(methodOf(endpoint), own, tests);
  const scores = endpoint.kind === "attribute-score";
  const values = own.map(({ value }) => value);
  const facts = {
    count: scores ? null : own.length - values.filter((value) => value === 1).length,
    chance: scores ? null : 1 / 2,
    meanAbsoluteDifference: scores ? mean(values.map(Math.abs)) : null,
  };
  // Two cups of one pot can only be picked by their place, which the position check looks at.
  if (control === "same-pot") return { ...facts, pValue: null, size: null, testSize: null };
  return { ...facts, ...comparePots(endpoint, own, tests) };
}

function compareRight(
  method: MethodName,
  own: readonly Observation[],
  tests: readonly Observation[],
): Comparison {
  const { guessing } = methods[method];
  const count = own.filter(({ value }) => value === 1).length;
  return {
    count,
    chance: guessing,
    meanAbsoluteDifference: null,
    pValue: binomialPValue(count, own.length, guessing, "one"),
    size: count / own.length,
    testSize: tests.length > 0 ? mean(tests.map(({ value }) => value)) : null,
  };
}

/**
 * Two pots of one treatment: does any such pair differ (Holm over the pairs), and is the mean size
 * of a pair's difference, whichever way it goes, as large as in the test pairs?
 */
function comparePots(
  endpoint: Answered,
  own: readonly Observation[],
  tests: readonly Observation[],
): Pick<ControlFinding, "pValue" | "size" | "testSize"> {
  const measure = measureFor(endpoint);
  const pairs = [...groupBy(own, pairKey).values()];
  const adjusted = holm(pairs.map((pair) => measure.twoSidedPValue(pair) ?? 1));
  return {
    pValue: Math.min(...adjusted),
    size: meanSize(endpoint, own),
    testSize: tests.length > 0 ? meanSize(endpoint, tests) : null,
  };
}

function meanSize(endpoint: Answered, observations: readonly Observation[]): number {
  const measure = measureFor(endpoint);
  const pairs = [...groupBy(observations, pairKey).values()];
  return mean(
    pairs.map((pair) => Math.abs(measure.tasterValue(mean(pair.map(({ value }) => value))))),
  );
}
