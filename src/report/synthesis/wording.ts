import type { EndpointKind } from "../../experiment/endpoint.ts";
import type { Unit } from "../finding-parts.ts";
import { signed } from "../wording/numbers.ts";
import type { Combined, Shown } from "./combine.ts";
import type { combinedAsPlanned } from "./planned.ts";
import type { EffectRefusal } from "./session-effect.ts";

/** What was asked, and of what. */
export interface Topic {
  kind: EndpointKind;
  attribute: string | null;
  /** The treatment that effects speak for. */
  towards: string;
}

/** The first sentence of combined sessions: what they say together, and what to expect of a new one. */
export function combinedSentence(combined: Combined, topic: Topic): string {
  const { studies, pooled, prediction, unit } = combined;
  const sessions = countWords(studies.length);
  if (pooled === null) return "No session has answered this yet.";
  const average = averageWords(pooled, topic, unit);
  if (studies.length === 1) return `One session so far: ${average}.`;
  if (prediction === null) {
    return `${sessions} sessions: on average ${average}. From a third one on it can be said what to expect of a new session.`;
  }
  const { lower, upper } = prediction;
  return `${sessions} sessions: on average ${average}; a new session on new coffees would be expected to lie between ${plain(lower, unit)} and ${plain(upper, unit)}${after(unit)}.`;
}

function averageWords(pooled: Shown, { kind, attribute, towards }: Topic, unit: Unit): string {
  const interval = `(95 % interval ${plain(pooled.lower, unit)} to ${plain(pooled.upper, unit)})`;
  const times = `${plain(pooled.value, unit)} times in 100 ${interval}`;
  const points = `${Math.abs(pooled.value).toFixed(decimalsIn(unit))} points ${pooled.value < 0 ? "lower" : "higher"}`;
  switch (kind) {
    case "overall-difference":
      return `${plain(pooled.value, unit)} people in 100 can tell the two apart ${interval}`;
    case "attribute-difference": {
      const people = Math.abs(Math.round(100 * pooled.value));
      const way = pooled.value < 0 ? "less" : "more";
      return `${people} people in 100 find ${way} ${attribute ?? "of it"} in ${towards} ${interval}`;
    }
    case "direction":
      return `${towards} is picked as having more ${attribute ?? "of it"} ${times}`;
    case "preference":
      return `${towards} is liked better ${times}`;
    case "attribute-score":
      return `${towards} scores ${points} in ${attribute ?? "it"} ${interval}`;
    case "extraction-yield":
      return `${towards} extracts ${points} ${interval}`;
  }
}

/** A value as sentences and tables say it: people or picks in 100, points with a sign. */
export function plain(value: number, unit: Unit): string {
  switch (unit) {
    case "distinguishers":
      // For showing only: luck alone can put the raw share below 0.
      return String(Math.round(100 * Math.min(1, Math.max(0, value))));
    case "lean":
      return String(Math.round(50 * (1 + value)));
    case "lean-of-three":
      return signed(100 * value, 0);
    case "scale-points":
    case "yield-points":
      return signed(value, decimalsIn(unit));
  }
}

const decimalsIn = (unit: Unit) => (unit === "yield-points" ? 2 : 1);

const after = (unit: Unit) =>
  unit === "scale-points" || unit === "yield-points" ? " points" : " in 100";

/** Why a session's own report shows other numbers of the same answers. */
export function ownReportSentence(unit: Unit): string {
  if (unit === "scale-points" || unit === "yield-points") {
    return "A session’s own report may show somewhat other numbers for the same cups: its interval allows for how few tasters or brew pairs there were, the one here is the kind that sessions are weighed by.";
  }
  return "A session’s own report shows somewhat other numbers for the same answers: here half an answer is added on either side, so that sessions can be added up, and the interval is of another kind.";
}

/** Whether the average is clear of no difference. */
export function surenessSentence({ pooled, unit, studies }: Combined): string | null {
  if (pooled === null) return null;
  // A share who can tell has one side: only more right than luck says anything.
  const clear = pooled.lower > 0 || (pooled.upper < 0 && unit !== "distinguishers");
  const whose = studies.length === 1 ? "This one session" : "The average";
  return clear
    ? `${whose} is clear of no difference at 95 %.`
    : `${whose} could still be no difference at all: its interval holds it.`;
}

/** Whether sessions differ by more than chance. */
export function heterogeneitySentence({ heterogeneity, studies }: Combined): string | null {
  if (heterogeneity === null) return null;
  const { pValue, iSquaredPercent, q, df } = heterogeneity;
  const numbers = `(Q = ${q.toFixed(1)} on ${df} df, p = ${pValue < 0.001 ? "under 0.001" : pValue.toFixed(3)}; I² = ${Math.round(iSquaredPercent)} %)`;
  if (pValue < 0.1) {
    return `The sessions differ by more than chance would make them ${numbers}: an average alone hides that. Look at the coffees below.`;
  }
  const few = studies.length < 5 ? ", though so few could hide a good deal" : "";
  return `The sessions differ by no more than chance would make them${few} ${numbers}.`;
}

/** Whether these sessions were combined free of what they showed. */
export function plannedSentence(
  { planned, afterResult }: ReturnType<typeof combinedAsPlanned>,
  sessions: number,
): string | null {
  if (sessions < 2) return null;
  if (planned) {
    return "Planned: every session was sealed before the first key was opened, so none was added because of a result.";
  }
  const those = afterResult === 1 ? "one session was" : `${afterResult} sessions were`;
  return `Not planned as one: ${those} sealed after a result was known, so going on may have depended on it. Read the numbers as a summary, not as one test.`;
}

/** That imported panels take no part; null where there is none. */
export function importedSentence(count: number): string | null {
  if (count === 0) return null;
  return count === 1
    ? "One imported panel is left out: nothing was sealed before its answers were known."
    : `${count} imported panels are left out: nothing was sealed before their answers were known.`;
}

/** Why a session isn't among those combined. */
export const refusalWords: Readonly<Record<EffectRefusal, string>> = {
  "no-answers": "nobody answered this question",
  "too-few": "one taster or one brew pair alone has no measure of how far it could be off",
  "expected-other": "of three cups it expected the other treatment to have more",
  "no-spread": "all values are alike, so nobody can say how far they could be off",
};

const COUNTS = [
  "No",
  "One",
  "Two",
  "Three",
  "Four",
  "Five",
  "Six",
  "Seven",
  "Eight",
  "Nine",
  "Ten",
];

/** A small number as the first word of a sentence. */
export function countWords(count: number): string {
  return COUNTS[count] ?? String(count);
}
