import type { z } from "zod";
import { plainMessage } from "./plain-messages.ts";

/** One thing wrong with an input: where (object keys and array indexes from the root) and what to do. */
export interface InputIssue {
  path: (string | number)[];
  message: string;
}

/** What a calculation answers: its output, or the reasons why it can't be computed for this input. */
export type Outcome<Output> =
  | { ok: true; output: Output }
  | { ok: false; code: "invalid-input"; message: string; issues: InputIssue[] };

/**
 * A named calculation. The command line, the HTTP API, the OpenAPI document and the bench pages
 * read these records and nothing else, so that one definition serves every door.
 */
export interface Calculator {
  /** Kebab-case name that other programs call it by; never renamed. */
  name: string;
  /** One sentence for listings. */
  summary: string;
  input: z.ZodType;
  output: z.ZodType;
  /** Parses unknown input, computes, and answers with output or issues; throws only on a bug. */
  run(input: unknown): Outcome<unknown>;
}

/** What `compute` may answer when a valid-looking input turns out not to be computable. */
export type Refusal = { refused: InputIssue[] };

interface Definition<Input extends z.ZodType, Output extends z.ZodType> {
  name: string;
  summary: string;
  input: Input;
  output: Output;
  compute: (input: z.output<Input>) => z.output<Output> | Refusal;
}

/** Turns a schema pair and a pure function into a {@link Calculator}. */
export function defineCalculator<Input extends z.ZodType, Output extends z.ZodType>(
  definition: Definition<Input, Output>,
): Calculator {
  return {
    name: definition.name,
    summary: definition.summary,
    input: definition.input,
    output: definition.output,
    run(input) {
      const parsed = definition.input.safeParse(input, { error: plainMessage });
      if (!parsed.success) return refuse(parsed.error.issues.flatMap(toInputIssues));
      const answer = definition.compute(parsed.data);
      if (isRefusal(answer)) return refuse(answer.refused);
      return { ok: true, output: answer };
    },
  };
}

function refuse(issues: InputIssue[]): Outcome<never> {
  const message = issues
    .map((issue) => `${issue.path.join(".") || "input"}: ${issue.message}`)
    .join("; ");
  return { ok: false, code: "invalid-input", message, issues };
}

/** Unknown fields are named one by one, up to this many in an object. */
const MOST_UNKNOWN = 20;

function toInputIssues(issue: z.core.$ZodIssue): InputIssue[] {
  const path = issue.path.map((step) => (typeof step === "symbol" ? String(step) : step));
  const { message } = issue;
  if (issue.code !== "unrecognized_keys") return [{ path, message }];
  return issue.keys.slice(0, MOST_UNKNOWN).map((key) => ({ path: [...path, key], message }));
}

function isRefusal(answer: unknown): answer is Refusal {
  return typeof answer === "object" && answer !== null && "refused" in answer;
}
