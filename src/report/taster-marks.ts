import type { EndpointChart } from "./charts.ts";
import { groupBy } from "./observations.ts";

/** One faint point: a value, and how many tasters it stands for. */
export interface TasterMark {
  value: number;
  tasters: number;
}

/** Most places along the axis that points may stand on: more couldn't be told apart on a page. */
const PLACES = 120;

/**
 * The tasters of a chart as few points: those of one value together, and with many different values
 * those in the same 120th of the axis, at its middle; what lies beyond the axis stands at its end. So a panel of thousands draws no more than one
 * of dozens.
 */
export function tasterMarks({
  tasters,
  axis,
}: Pick<EndpointChart, "tasters" | "axis">): TasterMark[] {
  const { minimum, maximum } = axis;
  const values = tasters.map(({ value }) => Math.min(maximum, Math.max(minimum, value)));
  const different = new Set(values).size;
  const width = (axis.maximum - axis.minimum) / PLACES;
  const placeOf = (value: number) =>
    different <= PLACES || width === 0
      ? value
      : axis.minimum + (Math.floor((value - axis.minimum) / width) + 0.5) * width;
  return [...groupBy(values.map(placeOf), String).values()].flatMap((same) => {
    const [value] = same;
    return value === undefined ? [] : [{ value, tasters: same.length }];
  });
}
