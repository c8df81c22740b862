import type { Calculator, InputIssue } from "../../src/calculators/calculator.ts";
import { calculators } from "../../src/calculators/registry.ts";
import { isSlipOf, nearestOf } from "./nearest.ts";

/** What the JSON doors (command line and HTTP) say when they cannot compute. */
export interface ErrorBody {
  error: {
    code: "invalid-input" | "invalid-json" | "unknown-calculator" | "too-long" | "too-busy";
    message: string;
    issues?: InputIssue[];
    /** The known name that is closest to an unknown one. */
    nearest?: string;
  };
}

/** The HTTP status that goes with each code. */
export const statusOf: Readonly<Record<ErrorBody["error"]["code"], number>> = {
  "invalid-input": 422,
  "invalid-json": 422,
  "unknown-calculator": 404,
  "too-long": 503,
  "too-busy": 503,
};

export type Answer = { ok: true; output: unknown } | { ok: false; body: ErrorBody };

/** Answers one JSON text with a calculator: its output, or what is wrong with the text or the input. */
export function answerText(calculator: Calculator, text: string): Answer {
  const read = readJson(text);
  if (!read.ok) return read;
  const outcome = calculator.run(read.value);
  if (outcome.ok) return outcome;
  const { code, message, issues } = outcome;
  return { ok: false, body: { error: { code, message, issues } } };
}

/** Finds a calculator, or says which known name is nearest. */
export function findCalculator(
  name: string,
): { ok: true; calculator: Calculator } | { ok: false; body: ErrorBody } {
  const calculator = calculators.get(name);
  if (calculator !== undefined) return { ok: true, calculator };
  const nearest = nearestOf(name, [...calculators.keys()]);
  const advice = isSlipOf(name, nearest)
    ? `Did you mean ${nearest}?`
    : "Look it up in the list of calculators.";
  const message = `There is no calculator ${name}. ${advice}`;
  return { ok: false, body: { error: { code: "unknown-calculator", message, nearest } } };
}

function readJson(text: string): { ok: true; value: unknown } | { ok: false; body: ErrorBody } {
  try {
    return { ok: true, value: JSON.parse(withoutByteOrderMark(text)) };
  } catch (error) {
    const cause = error instanceof Error ? error.message : String(error);
    const message = `Give one JSON object (${cause}).`;
    return { ok: false, body: { error: { code: "invalid-json", message } } };
  }
}

/** Some programs put the mark before what they save or send; it may be ignored. Source: RFC 8259, 8.1. */
function withoutByteOrderMark(text: string): string {
  return text.startsWith("\uFEFF") ? text.slice(1) : text;
}
