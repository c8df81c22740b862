export type CupHeat = "comfortable" | "hot" | "too-hot";

/**
 * Serving limits in °C. From 65 °C the cup is called hot: the IARC classes drinks above 65 °C as
 * probably carcinogenic (Monographs vol. 116, 2018). Above 70 °C it isn't served: skin burns in
 * about a second (Moritz, Henriques, Am J Pathol 1947;23:695–720). The two arms may differ by 2 K;
 * that and the 70 °C stop are this program's own limits.
 */
export const servingLimits = {
  hotFrom: 65,
  stopAbove: 70,
  largestDifference: 2,
} as const;

/** How a cup at this temperature (°C) is to be handled. */
export function cupHeat(temperature: number): CupHeat {
  if (temperature > servingLimits.stopAbove) return "too-hot";
  return temperature >= servingLimits.hotFrom ? "hot" : "comfortable";
}

/**
 * Seconds of contact with water of a temperature (°C) until a serious burn: those of the chart's
 * nearest lower temperature, null below the chart.
 */
export function secondsToBurn(temperature: number): number | null {
  const reached = burnChart.filter((entry) => entry.temperature <= temperature);
  return reached.at(-1)?.seconds ?? null;
}

/** Burn-prevention teaching chart, based on Moritz and Henriques 1947. */
const burnChart: readonly { temperature: number; seconds: number }[] = [
  { temperature: 49, seconds: 300 },
  { temperature: 52, seconds: 105 },
  { temperature: 55, seconds: 30 },
  { temperature: 57, seconds: 10 },
  { temperature: 60, seconds: 5 },
  { temperature: 63, seconds: 3 },
  { temperature: 66, seconds: 1.5 },
  { temperature: 68, seconds: 1 },
];
