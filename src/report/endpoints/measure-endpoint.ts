import { type Endpoint, isRightOrWrong } from "../../experiment/endpoint.ts";
import type { Plan } from "../../experiment/plan.ts";
import { type BrewFinding, yieldPairs } from "../brew-yields.ts";
import type { Counted } from "../counted.ts";
import type { CannotTellFinding } from "../endpoint-finding.ts";
import { levelOf } from "../level.ts";
import type { MeasuredCoffee, MeasuredEndpoint } from "../measured.ts";
import { type Observation, type Observed, observe, testOnly } from "../observations.ts";
import { leanMeasure } from "./lean.ts";
import type { Measure } from "./measure.ts";
import { naming } from "./naming.ts";
import { rightOrWrongMeasure } from "./right-or-wrong.ts";
import { scoreMeasure } from "./score.ts";
import { tasterMeans } from "./taster-means.ts";
import { weakest } from "./weakest.ts";
import { measureBrews } from "./yield-endpoint.ts";

type AnsweredEndpoint = Exclude<Endpoint, { kind: "extraction-yield" }>;

/** Measures one endpoint of a plan over all coffees and on each; nothing is judged yet. */
export function measureEndpoint(
  endpoint: Endpoint,
  plan: Plan,
  counted: Counted,
  brews: readonly BrewFinding[],
): MeasuredEndpoint {
  return endpoint.kind === "extraction-yield"
    ? measureBrews(endpoint, plan, yieldPairs(brews))
    : measureAnswers(endpoint, plan, observe(endpoint, counted.ballots));
}

/** The measure of one kind of answer. */
export function measureFor(endpoint: AnsweredEndpoint): Measure {
  switch (endpoint.kind) {
    case "overall-difference":
    case "attribute-difference":
      return rightOrWrongMeasure(endpoint);
    case "direction":
    case "preference":
      return leanMeasure(endpoint);
    case "attribute-score":
      return scoreMeasure(endpoint);
  }
}

function measureAnswers(
  endpoint: AnsweredEndpoint,
  plan: Plan,
  observed: Observed,
): MeasuredEndpoint {
  const { alpha } = plan;
  const measure = measureFor(endpoint);
  const tests = testOnly(observed.observations);
  const potControls = observed.observations.filter(({ control }) => control === "same-treatment");
  const level = levelOf(endpoint, plan);
  const coffees = plan.coffees.map((coffee): MeasuredCoffee => {
    const own = tests.filter(({ coffeeId }) => coffeeId === coffee.id);
    return {
      coffeeId: coffee.id,
      name: coffee.name,
      roast: coffee.roast,
      counts: measure.counts(own),
      estimate: measure.estimate(own, alpha),
      difference: measure.difference(own, level),
      margin: measure.margin(own, alpha),
      twoSidedPValue: measure.twoSidedPValue(own),
    };
  });
  return {
    ...naming(endpoint),
    unit: measure.unit,
    counts: measure.counts(tests),
    estimate: measure.estimate(tests, alpha),
    difference: measure.difference(tests, level),
    margin: weakest(coffees.map(({ margin }) => margin)),
    process: measure.process(tests, potControls, alpha),
    coffees,
    homogeneity: measure.homogeneity(tests),
    replicated: measure.replicated(tests, alpha),
    companions: measure.companions(tests),
    cannotTell: plan.cannotTellAllowed ? countCannotTell(endpoint, observed) : null,
    tasters: faintPoints(measure, tests),
  };
}

function countCannotTell(
  endpoint: AnsweredEndpoint,
  { observations, cannotTell }: Observed,
): CannotTellFinding | null {
  if (isRightOrWrong(endpoint) || endpoint.kind === "attribute-score") return null;
  const count = (control: boolean) => {
    const unsure = cannotTell.filter((one) => (one.control !== null) === control).length;
    const sure = observations.filter((one) => (one.control !== null) === control).length;
    return { count: unsure, of: unsure + sure };
  };
  return { test: count(false), control: count(true) };
}

function faintPoints(measure: Measure, tests: readonly Observation[]) {
  return tasterMeans(tests).map(({ seatId, answers, value }) => ({
    seatId,
    answers,
    value: measure.tasterValue(value),
  }));
}
