import type { PanelQuestion } from "../../src/report/planning/panel-test.ts";

/** Doesn't break: a number stays beside its percent sign. */
const SPACE = "\u00a0";

/** A chance to a tenth of a percent, rounded down: it never promises more. */
export function chanceText(chance: number): string {
  if (chance === 0) return `0${SPACE}%`;
  if (chance >= 0.9995) return `over 99.9${SPACE}%`;
  if (chance < 0.001) return `under 0.1${SPACE}%`;
  return `${Math.floor(chance * 1000 + 1e-9) / 10}${SPACE}%`;
}

/** p as it is printed: two significant digits, tiny ones by their bound. */
export function smallPText(pValue: number): string {
  return pValue < 0.0001 ? "under 0.0001" : String(Number(pValue.toPrecision(2)));
}

/** A size of effect as its question counts it. */
export function effectText({ kind }: PanelQuestion, effect: number): string {
  switch (kind) {
    case "apart":
    case "same":
      return `${tidy(100 * effect)}${SPACE}% of people truly noticing`;
    case "more":
    case "liked":
      return `${tidy(50 + 50 * effect)}${SPACE}% of picks for one cup`;
    case "scores":
      return `${tidy(effect)} points of the scale`;
    case "yield":
      return `${tidy(effect, 2)} points of yield`;
  }
}

/** The same without words, for axes and table heads: picks of 50 to 100 %, people of 0 to 100 %. */
export function effectNumber({ kind }: PanelQuestion, effect: number): number {
  switch (kind) {
    case "apart":
    case "same":
      return 100 * effect;
    case "more":
    case "liked":
      return 50 + 50 * effect;
    case "scores":
    case "yield":
      return effect;
  }
}

/** What the numbers of {@link effectNumber} count. */
export function effectAxis({ kind }: PanelQuestion): string {
  switch (kind) {
    case "apart":
    case "same":
      return "people who truly notice, %";
    case "more":
    case "liked":
      return "picks of one cup, %";
    case "scores":
      return "true difference, points of the scale";
    case "yield":
      return "true difference, points of yield";
  }
}

/** As many decimals as asked and no zeros behind; upwards, so that an effect is never understated. */
export function tidy(value: number, decimals = 1): string {
  const scale = 10 ** decimals;
  return String(Math.ceil(value * scale - 1e-6) / scale);
}
