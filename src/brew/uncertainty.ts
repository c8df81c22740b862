import { sampleStandardDeviation } from "simple-statistics";
/** A quantity with its standard uncertainty, both in the quantity's own unit. */
export interface Measured {
  name: string;
  value: number;
  standardUncertainty: number;
}

/** Correlation coefficient between two inputs, named by their place in the list of inputs. */
export interface Correlation {
  between: readonly [number, number];
  coefficient: number;
}

/** What one input adds: its sensitivity (output per input unit) and that times its uncertainty. */
export interface Contribution extends Measured {
  sensitivity: number;
  contribution: number;
}

export interface Propagated {
  value: number;
  standardUncertainty: number;
  contributions: Contribution[];
}

/**
 * First-order propagation of uncertainty through any smooth model (law of propagation, with
 * covariances when correlations are given). Sensitivities are central differences with one
 * Richardson step, good to about ten digits.
 * Source: JCGM 100:2008 (GUM), 5.1 and 5.2.
 */
export function propagate(
  model: (...values: number[]) => number,
  inputs: readonly Measured[],
  correlations: readonly Correlation[] = [],
): Propagated {
  const values = inputs.map((input) => input.value);
  const contributions = inputs.map((input, index) => {
    const sensitivity = derivative(model, values, index, input.standardUncertainty);
    return { ...input, sensitivity, contribution: sensitivity * input.standardUncertainty };
  });
  return {
    value: model(...values),
    standardUncertainty: combine(
      contributions.map((part) => part.contribution),
      correlations,
    ),
    contributions,
  };
}

/** Root sum of squares of contributions, plus twice every correlated product. */
function combine(contributions: readonly number[], correlations: readonly Correlation[]): number {
  const squares = contributions.reduce((sum, part) => sum + part * part, 0);
  const products = correlations.reduce((sum, { between: [first, second], coefficient }) => {
    return sum + 2 * coefficient * (contributions[first] ?? 0) * (contributions[second] ?? 0);
  }, 0);
  // Rounding can leave a tiny negative where correlated terms cancel exactly.
  return Math.sqrt(Math.max(0, squares + products));
}

function derivative(
  model: (...values: number[]) => number,
  values: readonly number[],
  index: number,
  uncertainty: number,
): number {
  const at = values[index] ?? 0;
  const step = 1e-3 * (Math.max(Math.abs(at), uncertainty) || 1);
  const slope = (width: number) => {
    const above = model(...values.with(index, at + width));
    const below = model(...values.with(index, at - width));
    return (above - below) / (2 * width);
  };
  return (4 * slope(step / 2) - slope(step)) / 3;
}

/** Standard uncertainty of a quantity known to lie within ± halfWidth, all values alike likely. */
export function rectangularUncertainty(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}

/**
 * Standard uncertainty of the mean of repeated readings, s/√n (GUM 4.2.3); 0 for a single reading,
 * whose scatter is unknown.
 */
export function repeatUncertainty(readings: readonly number[]): number {
  if (readings.length < 2) return 0;
  return sampleStandardDeviation([...readings]) / Math.sqrt(readings.length);
}

/**
 * Standard uncertainty, in grams, of a mass weighed by difference (tare and gross): each of the two
 * readings carries half a display step and a linearity of two steps, both rectangular.
 * Source: budget as in EURACHEM/CITAC CG 4 (2012), appendix A1; the linearity is typical of kitchen
 * and laboratory scales of 0.1 g, 0.01 g and 0.001 g.
 */
export function weighingUncertainty(resolutionGrams: number): number {
  const perReading = Math.hypot(
    rectangularUncertainty(resolutionGrams / 2),
    rectangularUncertainty(2 * resolutionGrams),
  );
  return Math.SQRT2 * perReading;
}
