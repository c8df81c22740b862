import Handlebars from "handlebars";
import { firstPlace } from "../../src/experiment/ballot.ts";
import { isRightOrWrong, methodOf } from "../../src/experiment/endpoint.ts";
import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import { brewChart, endpointChart } from "../../src/report/charts.ts";
import type { EndpointFinding } from "../../src/report/endpoint-finding.ts";
import type { Findings } from "../../src/report/findings.ts";
import { rightAnswers } from "../../src/report/wording/right-answers.ts";
import { type EndpointWords, wordReport } from "../../src/report/wording.ts";
import type { SealedSession } from "../sealed-session.ts";
import type { Amendment } from "../store/amendments.ts";
import { version } from "../version.ts";
import { brewPlot } from "./brew-plot.ts";
import { keepInMind } from "./keep-in-mind.ts";
import { plannedAndHappened } from "./planned-and-happened.ts";
import { endpointPlot, type TreatmentNames } from "./plots.ts";
import { methodFacts, plotTable, pText, valueText } from "./report-numbers.ts";

/** Who reads a report and where: on the server, or as a page saved from it. */
export interface Reader {
  forLead: boolean;
  /** Where the page can be saved from; null on the saved page itself. */
  saveHref: string | null;
  /** What the house is called; empty when it stays unnamed. */
  roastery: string;
}

/** What a report is about: what was found, and how the plan changed on the way. */
export interface Reported {
  findings: Findings;
  amendments: readonly Amendment[];
  /** The session's log. */
  events: readonly { kind: string; at?: string }[];
}

/** Everything that the report page shows, already in words, numbers and drawings. */
export function reportFields(
  session: SealedSession,
  { findings, amendments, events }: Reported,
  reader: Reader,
) {
  const { plan } = session;
  const names = { A: plan.treatments.A.name, B: plan.treatments.B.name };
  const words = wordReport(findings, plan);
  const questions = findings.endpoints.map((finding) => ({
    ...question(finding, wordsOf(words.endpoints, finding), names),
    imported: session.origin === "imported",
  }));
  const verdict = underHeadline(words.verdict, words.headline);
  const primary = questions.find(({ id }) => id === findings.primaryId) ?? null;
  return {
    title: `${words.headline}: ${plan.title}`,
    ...reader,
    online: reader.saveHref !== null,
    imported: session.origin === "imported",
    session: { id: session.id, name: session.name, heldOn: session.heldOn },
    plan,
    words,
    verdict,
    headline: findings.headline,
    primary,
    others: questions.filter(({ id }) => id !== findings.primaryId),
    brews: brews(findings, plan, names),
    controls: controls(findings, plan),
    counts: plannedAndHappened(findings, session, events),
    keepInMind: keepInMind(session, { words, verdict, primary, events }, reader),
    places: places(findings, plan),
    placeNames: placeNames.slice(0, lastPlace(findings)),
    amendments: amended(amendments),
    proof: {
      planHash: session.sealed.planHash,
      commitment: session.sealed.commitment,
      keyOpened: events.find(({ kind }) => kind === "unblinded")?.at?.slice(0, 10) ?? null,
      version,
    },
  };
}

/** The verdict under its headline, whose words are not said twice. */
function underHeadline(verdict: readonly string[], headline: string): string[] {
  return verdict.map((text) => {
    const rest = text.startsWith(`${headline}: `) ? text.slice(headline.length + 2) : text;
    return `${rest.charAt(0).toUpperCase()}${rest.slice(1)}`;
  });
}

/** What the log says was changed between sealing and opening. */
function amended(amendments: readonly Amendment[]) {
  return amendments.map(({ at, reason, kit, changes }) => ({
    when: `${at.slice(0, 16).replace("T", " ")} UTC`,
    reason,
    drawnAnew: kit === "drawn-anew",
    changes,
  }));
}

function wordsOf(all: readonly EndpointWords[], finding: EndpointFinding): EndpointWords {
  const words = all.find(({ endpointId }) => endpointId === finding.endpointId);
  if (words === undefined) throw new Error(`There are no words for endpoint ${finding.endpointId}`);
  return words;
}

function question(finding: EndpointFinding, words: EndpointWords, names: TreatmentNames) {
  const chart = endpointChart(finding);
  const rows = words.rows.map(({ name, seen, verdict }) => `${name}: ${seen}: ${verdict}.`);
  const label = [words.question, words.cups, ...rows].join(" ");
  return {
    id: finding.endpointId,
    ...words,
    state: words.state,
    plot: new Handlebars.SafeString(endpointPlot(chart, names, label)),
    distinguishers: finding.unit === "distinguishers",
    counted: countedWords[finding.unit],
    tasterPoints: chart.tasters.length > 0,
    severalCoffees: chart.rows.length > 1,
    confidence: Math.round(100 * (finding.estimate?.confidence ?? 0.95)),
    table: plotTable(chart),
    method: methodFacts(finding),
  };
}

/** What the numbers of a plot count. */
const countedWords = {
  distinguishers: "Percent of people who can tell the cups apart.",
  "lean-of-three": "Percent of people who find more in one of them; 0 % is what luck gives.",
  lean: "0 % is an even split of the picks, 100 % everyone the same way.",
  "scale-points": "Points of the scale.",
  "yield-points": "Percentage points of extraction yield.",
} as const;

function brews(findings: Findings, plan: Plan, names: TreatmentNames) {
  const points = brewChart(findings);
  if (points.length === 0) return null;
  const label = `Strength and extraction of ${points.length} pots. The table below holds every number.`;
  return {
    plot: new Handlebars.SafeString(brewPlot(points, names, label)),
    rows: points.map((point) => ({
      coffee: coffeeName(plan, point.coffeeId),
      pair: point.pair,
      letter: point.potLetter,
      treatment: names[point.treatment],
      strength: point.coffeeTdsPercent.toFixed(2),
      extraction: `${point.extractionPercent.toFixed(2)} ± ${point.standardUncertainty.toFixed(2)}`,
      note: [
        point.controlPair ? "control pair" : "",
        point.rejected ? "rejected" : "",
        ...point.outsideLimits,
      ]
        .filter((note) => note !== "")
        .join(", "),
    })),
  };
}

const controlNames = {
  "same-pot": "two cups of one pot",
  "same-treatment": "two pots brewed alike",
};

function controls(findings: Findings, plan: Plan) {
  return findings.controls.map((control) => {
    const endpoint = findings.endpoints.find(({ endpointId }) => endpointId === control.endpointId);
    const unit = endpoint?.unit ?? "lean";
    return {
      what: controlNames[control.control],
      question: endpoint === undefined ? "" : questionOf(endpoint, plan),
      found:
        control.count === null
          ? `${valueText(control.meanAbsoluteDifference, unit).replace("+", "")} points apart on average`
          : `${control.count} of ${control.answers}; luck alone gives ${Math.round(control.answers * (control.chance ?? 0))}`,
      pValue: pText(control.pValue),
    };
  });
}

function questionOf(finding: EndpointFinding, plan: Plan): string {
  const endpoint = plan.endpoints.find(({ id }) => id === finding.endpointId);
  if (endpoint === undefined || endpoint.kind === "extraction-yield") return "";
  if (isRightOrWrong(endpoint)) return rightAnswers[methodOf(endpoint)];
  if (endpoint.kind === "preference") return "first cup preferred";
  return endpoint.kind === "direction"
    ? `first cup more ${endpoint.attribute}`
    : endpoint.attribute;
}

const placeNames = ["First", "Second", "Third", "Fourth"];

/** The last place that any answer can name. */
const lastPlace = ({ positions }: Findings) =>
  Math.max(0, ...positions.map(({ set, counts }) => firstPlace(set) - 1 + counts.length));

/** How often each serving position was picked, question by question. */
function places(findings: Findings, plan: Plan) {
  const { positions, endpoints } = findings;
  return positions.map(({ endpointId, set, counts, pValue }) => {
    const endpoint = endpoints.find((candidate) => candidate.endpointId === endpointId);
    return {
      question: endpoint === undefined ? "" : pickedAs(endpoint, plan),
      // Of a duo-trio and a tetrad the first cup can't be picked.
      counts: placeNames
        .slice(0, lastPlace(findings))
        .map((place, at) => ({ place, count: counts[at + 1 - firstPlace(set)] ?? "–" })),
      pValue: pText(pValue),
    };
  });
}

const pickedWords = {
  triangle: "as the odd cup",
  "duo-trio": "as like the reference",
  tetrad: "as going with the first",
} as const;

function pickedAs({ endpointId }: EndpointFinding, plan: Plan): string {
  const endpoint = plan.endpoints.find(({ id }) => id === endpointId);
  if (endpoint?.kind === "overall-difference") return pickedWords[endpoint.method];
  if (endpoint?.kind === "attribute-difference") return `as having the most ${endpoint.attribute}`;
  if (endpoint?.kind === "preference") return "as liked better";
  return endpoint?.kind === "direction" ? `as having more ${endpoint.attribute}` : "";
}
