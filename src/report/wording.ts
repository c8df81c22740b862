import { coffeeName, type Plan } from "../experiment/plan.ts";
import type { EndpointFinding } from "./endpoint-finding.ts";
import type { Findings } from "./findings.ts";
import { adviceSentence } from "./wording/advice.ts";
import {
  approximateSentence,
  brewerSentences,
  brewSentences,
  conductSentences,
  leftOutSentences,
  noControlsSentence,
  positionSentences,
} from "./wording/cautions.ts";
import {
  aloneSentence,
  NO_VERDICT,
  seenOf,
  type VerdictRow,
  verdictRows,
} from "./wording/coffees.ts";
import { cupsSentence, stateWords } from "./wording/cups.ts";
import { decideSentences } from "./wording/decide.ts";
import { factsOf, type SampleFacts } from "./wording/facts.ts";
import { faultSentence, headlineWords, verdictSentence } from "./wording/headlines.ts";
import { mendSentence } from "./wording/mend.ts";
import { mixUpSentences } from "./wording/mix-ups.ts";
import { panelSentences } from "./wording/panel.ts";
import { processSentence, unsoundProcessSentence } from "./wording/process.ts";
import { questionWords, roleWords } from "./wording/questions.ts";
import { sentence } from "./wording/sentence.ts";
import { servingSentences } from "./wording/serving.ts";

/** A report in words: plain sentences, each with the number that carries it. */
export interface ReportWords {
  headline: string;
  /** One or a few sentences: the verdict, or each fault of a test that is not sound. */
  verdict: string[];
  process: string;
  advice: string;
  /** What would make it definitive. */
  definitive: string[];
  cautions: string[];
  conduct: string[];
  /** How the panel answered, whatever the cups held. */
  panel: string[];
  leftOut: string[];
  endpoints: EndpointWords[];
}

export interface EndpointWords {
  endpointId: string;
  question: string;
  role: string;
  state: string;
  cups: string;
  process: string;
  rows: VerdictRow[];
  definitive: string[];
  notes: string[];
}

/** Puts findings into words, in the plan's own names. */
export function wordReport(findings: Findings, plan: Plan): ReportWords {
  const names = { A: plan.treatments.A.name, B: plan.treatments.B.name };
  const sound = findings.headline !== "not-sound";
  const endpoints = findings.endpoints.map((finding) =>
    sound
      ? wordEndpoint(finding, names)
      : wordUnsound(wordEndpoint(finding, names), finding, names),
  );
  const primary = findings.endpoints.find(({ role }) => role === "primary");
  const words = endpoints.find(({ endpointId }) => endpointId === findings.primaryId);
  if (!primary || !words) throw new Error("Findings have one primary endpoint");
  return {
    headline: headlineWords[findings.headline],
    verdict: wordVerdict(findings, primary, names),
    process: words.process,
    advice: adviceSentence(findings.advice, findings.headline, primary, names),
    definitive: sound ? words.definitive : findings.faults.map(mendSentence),
    cautions: [
      ...mixUpSentences(findings),
      ...(findings.controls.length === 0 ? [noControlsSentence()] : []),
      ...brewerSentences(findings.brewers, names, findings.alpha),
      ...findings.positions.flatMap((position) =>
        positionSentences(position, questionOf(endpoints, position.endpointId)),
      ),
    ],
    conduct: [
      ...conductSentences(findings.conduct),
      ...(findings.conduct.blinding === "not-blinded-here"
        ? []
        : brewSentences(findings.brews, findings.conduct)),
      ...(findings.serving === null
        ? []
        : servingSentences(findings.serving, (id) => coffeeName(plan, id))),
    ],
    panel: panelSentences(findings.panel, findings.positions, findings.endpoints),
    leftOut: leftOutSentences(findings.leftOut, findings.headline),
    endpoints,
  };
}

function questionOf(endpoints: readonly EndpointWords[], id: string): string {
  return endpoints.find(({ endpointId }) => endpointId === id)?.question ?? "";
}

function wordVerdict(
  findings: Findings,
  primary: EndpointFinding,
  names: SampleFacts["names"],
): string[] {
  const { headline, faults, conduct, brewers, controls } = findings;
  if (headline !== "not-sound") return [verdictSentence(headline, primary, names)];
  const control =
    controls.find(
      ({ endpointId, differsAsMuch }) => endpointId === primary.endpointId && differsAsMuch,
    ) ?? null;
  return faults.map((fault) => faultSentence({ fault, conduct, brewers, control, names }));
}

function wordEndpoint(finding: EndpointFinding, names: SampleFacts["names"]): EndpointWords {
  const facts = factsOf(finding, names);
  const { process, kind, state } = finding;
  const open = {
    cups: state === "inconclusive",
    process: process.status !== "shown",
    withoutControlPairs: process.status === "no-control-pairs",
  };
  return {
    endpointId: finding.endpointId,
    question: questionWords(finding),
    role: roleWords[finding.role],
    state: stateWords[state],
    cups: cupsSentence(state, facts),
    process: processSentence({ process, kind, names }),
    rows: verdictRows(finding, names, true),
    definitive: decideSentences(finding.whatWouldDecide, facts, open),
    notes: [
      aloneSentence(finding),
      finding.margin.approximate ? approximateSentence() : null,
    ].filter((note) => note !== null),
  };
}

/** What was counted in a test that is not sound, without a verdict on anything. */
function wordUnsound(
  words: EndpointWords,
  finding: EndpointFinding,
  names: SampleFacts["names"],
): EndpointWords {
  return {
    ...words,
    state: NO_VERDICT,
    cups: sentence(seenOf(factsOf(finding, names))),
    process: unsoundProcessSentence(),
    rows: verdictRows(finding, names, false),
    definitive: [],
    notes: [],
  };
}
