import Handlebars from "handlebars";
import type { Combined } from "../../src/report/synthesis/combine.ts";
import { combineSessions } from "../../src/report/synthesis/combine.ts";
import { scaleOf } from "../../src/report/synthesis/effect-scale.ts";
import { byCoffee, byRoast, type CombinedGroup } from "../../src/report/synthesis/groups.ts";
import { combinedAsPlanned } from "../../src/report/synthesis/planned.ts";
import type { Question } from "../../src/report/synthesis/question.ts";
import { withContraryMarked } from "../../src/report/synthesis/session-answers.ts";
import {
  combinedSentence,
  heterogeneitySentence,
  ownReportSentence,
  plain,
  plannedSentence,
  refusalWords,
  surenessSentence,
} from "../../src/report/synthesis/wording.ts";
import { forestPlot, type Sides } from "./evidence-plots.ts";
import { answersTo, type ReadSession } from "./evidence-sessions.ts";

/** Sessions that answer one question about one comparison. */
export interface Gathered {
  question: Question;
  slug: string;
  sides: Sides;
  sessions: { read: ReadSession; label: string; swapped: boolean }[];
}

/** Everything that a page shows of sessions combined: words, plot, tables. */
export function gatheredView(gathered: Gathered) {
  const { question, sides } = gathered;
  const sound = gathered.sessions.filter(({ read }) => read.says.sound);
  const answers = withContraryMarked(
    sound.flatMap(({ read, ...as }) => answersTo(read, gathered.slug, as)),
  );
  const scale = scaleOf(question, answers);
  const combined = combineSessions(answers, scale);
  const sentence = combinedSentence(combined, { ...question, towards: sides.towards });
  const combinedLabels = new Set(combined.studies.map(({ label }) => label));
  const times = sound
    .filter(({ label }) => combinedLabels.has(label))
    .map(({ read }) => read.session);
  return {
    sentence,
    sureness: surenessSentence(combined),
    planned:
      times.length < 2 ? null : plannedSentence(combinedAsPlanned(times), combined.studies.length),
    heterogeneity: heterogeneitySentence(combined),
    plot:
      combined.studies.length === 0
        ? null
        : new Handlebars.SafeString(forestPlot(combined, sides, sentence)),
    rows: rowsOf(combined),
    counts: countsWords(combined),
    ownReport: ownReportSentence(combined.unit),
    leftOut: leftOutOf(gathered, combined),
    coffees: groupRows(byCoffee(answers, scale)),
    roasts: groupRows(byRoast(answers, scale)),
  };
}

function rowsOf(combined: Combined) {
  const { studies, pooled, prediction, unit } = combined;
  const numbers = ({ value, lower, upper }: { value: number; lower: number; upper: number }) => ({
    value: plain(value, unit),
    lower: plain(lower, unit),
    upper: plain(upper, unit),
  });
  return [
    ...studies.map((study, i) => ({
      name: `${i + 1}. ${study.label}`,
      answers: String(study.answers),
      weight: `${Math.round(study.weightPercent)} %`,
      ...numbers(study),
    })),
    ...(pooled && studies.length > 1
      ? [{ name: "Average", answers: "", weight: "", ...numbers(pooled) }]
      : []),
    ...(prediction
      ? [
          {
            name: "A new session",
            answers: "",
            weight: "",
            ...numbers({ ...prediction, value: 0 }),
            value: "",
          },
        ]
      : []),
  ];
}

/** What the numbers of the table count. */
function countsWords({ unit }: Combined): string {
  switch (unit) {
    case "distinguishers":
      return "people in 100 who can tell them apart";
    case "lean":
      return "times in 100 that it is picked";
    case "lean-of-three":
      return "people in 100 who find more of it there, below 0 in the other";
    case "scale-points":
      return "points of the scale";
    case "yield-points":
      return "percentage points of extraction yield";
  }
}

function leftOutOf({ sessions }: Gathered, { leftOut }: Combined) {
  return [
    ...sessions
      .filter(({ read }) => !read.says.sound)
      .map(({ label }) => ({ label, why: "its test was not sound" })),
    ...leftOut.map(({ label, refusal }) => ({ label, why: refusalWords[refusal] })),
  ];
}

function groupRows(groups: readonly CombinedGroup[]) {
  return groups.flatMap(({ name, combined }) => {
    const { pooled, unit, studies } = combined;
    if (pooled === null) return [];
    return [
      {
        name,
        sessions: studies.length,
        value: plain(pooled.value, unit),
        lower: plain(pooled.lower, unit),
        upper: plain(pooled.upper, unit),
      },
    ];
  });
}
