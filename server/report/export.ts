import { stringify } from "csv-stringify/sync";
import type { Answer } from "../../src/experiment/ballot.ts";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import type { BrewFinding } from "../../src/report/brew-yields.ts";
import type { Evidence, MixUp, UnblindedBallot, UnblindedCup } from "../../src/report/evidence.ts";
import { mixedWith, mixUpsByBallot } from "../../src/report/mix-ups.ts";
import { rightPosition } from "../../src/report/observations.ts";
import { panelQuestion } from "../../src/report/panel-columns.ts";

/** One cup under one question: what the ballots file has a row for. */
interface CupRow {
  seat: string;
  presentation: number;
  coffee: string;
  pair: number;
  replicate: number;
  control: string;
  set: string;
  position: number;
  code: string;
  pot: string;
  treatment: string;
  odd: string;
  right_answer: string;
  endpoint: string;
  question: string;
  chosen: string;
  score: string;
  received_at: string;
  void_reason: string;
  /** What was recorded for a set of which two cups stood on each other's codes. */
  mix_up: string;
  /** The code that this cup stood on by mistake; the key's columns are as sealed. */
  mixed_with: string;
}

/** Ballots as CSV: a row for each cup and question, with code, pot and treatment. UTF-8, RFC 4180. */
export function ballotsCsv(evidence: Evidence): string {
  const mixUpOf = mixUpsByBallot(evidence);
  const rows = evidence.ballots.flatMap((ballot) => rowsOf(evidence.plan, ballot, mixUpOf(ballot)));
  return csv(rows);
}

/** Pots as CSV: a row for each pot with treatment, brew and extraction as the analysis took it. */
export function brewsCsv(evidence: Evidence, brews: readonly BrewFinding[]): string {
  const rows = evidence.pots.map((pot) => {
    const found = brews.find(
      (brew) => brew.coffeeId === pot.coffeeId && brew.potLetter === pot.letter,
    );
    return {
      coffee: coffeeName(evidence.plan, pot.coffeeId),
      pair: pot.pair,
      pot: pot.letter,
      treatment: pot.treatment,
      control_pair: pot.controlPair ? "yes" : "no",
      brewer: pot.brew?.brewer ?? pot.plannedBrewer,
      dose_g: pot.brew?.doseGrams ?? "",
      brew_water_g: pot.brew?.brewWaterGrams ?? "",
      beverage_g: pot.brew?.beverageGrams ?? "",
      brew_s: pot.brew?.brewSeconds ?? "",
      tds_percent: pot.brew?.tdsReadingsPercent.join(" ") ?? "",
      sample: pot.brew?.sampleTiming ?? "",
      added_g: pot.brew?.addedGrams ?? "",
      zero: pot.brew?.refractometerZero ?? "",
      held_min: pot.brew?.heldMinutes ?? "",
      served_c: pot.brew?.servedCelsius ?? "",
      coffee_tds_percent: rounded(found?.coffeeTdsPercent),
      extraction_percent: rounded(found?.extractionPercent),
      extraction_standard_uncertainty: rounded(found?.standardUncertainty),
      rejected: pot.rejected ?? "",
      note: pot.brew?.note ?? "",
    };
  });
  return csv(rows);
}

/** Far finer than anyone measures, and free of the tails that binary fractions print. */
const COMPUTED_DECIMALS = 4;

function rounded(percent: number | null | undefined): number | "" {
  return percent == null ? "" : Number(percent.toFixed(COMPUTED_DECIMALS));
}

/** Text that a spreadsheet could run as a formula is disarmed. */
function csv(rows: object[]): string {
  return stringify(rows, { header: true, escape_formulas: true, record_delimiter: "windows" });
}

function rowsOf(plan: Plan, ballot: UnblindedBallot, mixUp: MixUp | undefined): CupRow[] {
  return Object.entries(ballot.answers).flatMap(([endpointId, answer]) => {
    const endpoint = plan.endpoints.find((candidate) => candidate.id === endpointId);
    return ballot.cups.map((cup) => ({
      seat: ballot.seatId,
      presentation: ballot.ordinal,
      coffee: coffeeName(plan, ballot.coffeeId),
      pair: ballot.pair,
      replicate: ballot.replicate,
      control: ballot.control ?? "",
      set: ballot.set,
      position: cup.position,
      code: cup.code,
      pot: cup.potLetter,
      treatment: cup.treatment,
      odd: oddness(ballot, cup),
      right_answer: rightness(ballot, cup),
      endpoint: endpointId,
      question: endpoint === undefined ? "" : questionOf(endpoint),
      ...answered(answer, cup),
      received_at: ballot.submittedAt,
      void_reason: ballot.voidReason ?? "",
      mix_up: mixUp?.resolution ?? "",
      mixed_with: mixedWith(mixUp, cup.code) ?? "",
    }));
  });
}

function oddness(ballot: UnblindedBallot, cup: UnblindedCup): string {
  if (ballot.oddPosition === null) return "";
  return ballot.oddPosition === cup.position ? "yes" : "no";
}

/** Whether choosing the cup is the right answer: of a tetrad, choosing it as the first one's fellow. */
function rightness(ballot: UnblindedBallot, cup: UnblindedCup): string {
  const right = rightPosition(ballot);
  if (right === null) return "";
  return right === cup.position ? "yes" : "no";
}

function questionOf(endpoint: Endpoint): string {
  switch (endpoint.kind) {
    case "overall-difference":
    case "attribute-difference":
      return panelQuestion(endpoint) ?? "";
    case "direction":
      return `more ${endpoint.attribute}`;
    case "preference":
      return "liked better";
    case "attribute-score":
      return `${endpoint.attribute}, 0 to 100`;
    case "extraction-yield":
      return "extraction yield";
  }
}

function answered(answer: Answer, cup: UnblindedCup): { chosen: string; score: string } {
  if ("scores" in answer) return { chosen: "", score: String(answer.scores[cup.code] ?? "") };
  if ("cannotTell" in answer) return { chosen: "cannot tell", score: "" };
  return { chosen: answer.chosen === cup.code ? "yes" : "no", score: "" };
}
