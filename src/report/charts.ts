import type { Treatment } from "../experiment/endpoint.ts";
import { methods, proportionDistinguishing } from "../statistics/discrimination.ts";
import type { CoffeeException, CoffeeFinding } from "./coffee-finding.ts";
import type { EndpointFinding } from "./endpoint-finding.ts";
import type { EndpointState, Estimate, Unit } from "./finding-parts.ts";
import type { Findings } from "./findings.ts";

/** Chart data without drawing: every number that a plot and its table show. */
export interface EndpointChart {
  endpointId: string;
  unit: Unit;
  /** From where to where values are drawn; 0 is no difference and always within. */
  axis: { minimum: number; maximum: number };
  /** Where a difference doesn't matter. */
  marginBand: { lower: number; upper: number };
  /** All coffees together first, then each coffee in the plan's order; a coffee alone is one row. */
  rows: ChartRow[];
  /** Tasters on the same scale, for faint points; only those who answered more than once, or scored. */
  tasters: { seatId: string; value: number }[];
}

export interface ChartRow {
  /** Null for all coffees together. */
  coffeeId: string | null;
  name: string | null;
  answers: number;
  /** Null where nothing was answered; kept raw, so a share of distinguishers can be below 0. */
  estimate: number | null;
  lower: number | null;
  upper: number | null;
  /** One-sided limits against the margin. */
  lowerLimit: number | null;
  upperLimit: number | null;
  state: EndpointState;
  exception: CoffeeException | null;
  goesOtherWay: boolean;
}

/** One plot's data per endpoint. */
export function endpointChart(finding: EndpointFinding): EndpointChart {
  const rows = rowsOf(finding);
  const tasters = tasterPoints(finding);
  const { margin } = finding.margin;
  const marginBand = { lower: -margin, upper: margin };
  return {
    endpointId: finding.endpointId,
    unit: finding.unit,
    axis: axisFor(finding.unit, [...rows, marginBand], tasters),
    marginBand,
    rows,
    tasters,
  };
}

/** One coffee is all coffees: its row by its name, with the numbers that the verdict rests on. */
function rowsOf(finding: EndpointFinding): ChartRow[] {
  const overall = overallRow(finding);
  const [only, ...others] = finding.coffees;
  if (only === undefined || others.length > 0) {
    return [overall, ...finding.coffees.map(coffeeRow)];
  }
  return [{ ...overall, coffeeId: only.coffeeId, name: only.name }];
}

function overallRow(finding: EndpointFinding): ChartRow {
  return {
    coffeeId: null,
    name: null,
    answers: finding.counts.answers,
    ...spread(finding.estimate),
    lowerLimit: finding.margin.lowerLimit,
    upperLimit: finding.margin.upperLimit,
    state: finding.state,
    exception: null,
    goesOtherWay: false,
  };
}

function coffeeRow(coffee: CoffeeFinding): ChartRow {
  return {
    coffeeId: coffee.coffeeId,
    name: coffee.name,
    answers: coffee.counts.answers,
    ...spread(coffee.estimate),
    lowerLimit: coffee.margin.lowerLimit,
    upperLimit: coffee.margin.upperLimit,
    state: coffee.state,
    exception: coffee.exception,
    goesOtherWay: coffee.goesOtherWay,
  };
}

function spread(estimate: Estimate | null) {
  return {
    estimate: estimate?.value ?? null,
    lower: estimate?.lower ?? null,
    upper: estimate?.upper ?? null,
  };
}

function tasterPoints({ tasters, unit, method }: EndpointFinding): EndpointChart["tasters"] {
  const guessing = method === null ? 0 : methods[method].guessing;
  return tasters
    .filter(({ answers }) => answers > 1 || unit === "scale-points")
    .map(({ seatId, value }) => ({
      seatId,
      value: unit === "distinguishers" ? proportionDistinguishing(value, guessing) : value,
    }));
}

/**
 * Shares have natural ends, and of people none below 0, where raw estimates may fall; points run a
 * little past everything that is drawn.
 */
function axisFor(
  unit: Unit,
  rows: readonly { lower: number | null; upper: number | null }[],
  tasters: readonly { value: number }[],
): EndpointChart["axis"] {
  if (unit === "distinguishers") return { minimum: 0, maximum: 1 };
  if (unit === "lean" || unit === "lean-of-three") return { minimum: -1, maximum: 1 };
  const drawn = rows.flatMap(({ lower, upper }) => [lower ?? 0, upper ?? 0]);
  const furthest = Math.max(...drawn.map(Math.abs), ...tasters.map(({ value }) => Math.abs(value)));
  return { minimum: -1.1 * furthest, maximum: 1.1 * furthest };
}

/** One pot on the extraction and strength chart. */
export interface BrewPoint {
  coffeeId: string;
  pair: number;
  potLetter: string;
  treatment: Treatment;
  extractionPercent: number;
  coffeeTdsPercent: number;
  /** Standard uncertainty of the yield, in percentage points. */
  standardUncertainty: number;
  controlPair: boolean;
  rejected: boolean;
  outsideLimits: string[];
}

/** Both arms of the brews, pots without a yield left out. */
export function brewChart({ brews }: Pick<Findings, "brews">): BrewPoint[] {
  return brews.flatMap((brew) => {
    const { extractionPercent, coffeeTdsPercent, standardUncertainty } = brew;
    if (extractionPercent === null || coffeeTdsPercent === null) return [];
    return [
      {
        coffeeId: brew.coffeeId,
        pair: brew.pair,
        potLetter: brew.potLetter,
        treatment: brew.treatment,
        extractionPercent,
        coffeeTdsPercent,
        standardUncertainty: standardUncertainty ?? 0,
        controlPair: brew.controlPair,
        rejected: brew.rejected,
        outsideLimits: brew.outsideLimits,
      },
    ];
  });
}
