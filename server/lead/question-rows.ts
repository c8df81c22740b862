import type { Endpoint } from "../../src/experiment/endpoint.ts";
import { numberFrom } from "../form.ts";
import type { Draft } from "../store/experiments.ts";

/** Most rows of one kind of question that the form reads; a plan holds 12 questions in all. */
const MOST_ROWS = 12;

/** An endpoint as typed, not yet checked, and the prefix of the form fields that it came from. */
export interface TypedQuestion {
  prefix: string;
  endpoint: Record<string, unknown>;
}

/**
 * The questions of a plan form in its order. Overall difference, preference and extraction are asked
 * when they have a role; the others as often as an attribute is named.
 */
export function readQuestions(draft: Draft): TypedQuestion[] {
  return [
    ...asked(draft, "overall", (prefix) => ({
      kind: "overall-difference",
      ...methodOf(draft[`${prefix}.method`] ?? ""),
      ...shareMargin(draft, prefix),
    })),
    ...rowsOf(draft, "direction").map((prefix) => ({
      prefix,
      endpoint: {
        kind: draft[`${prefix}.cups`] === THREE_CUPS ? "attribute-difference" : "direction",
        role: draft[`${prefix}.role`],
        attribute: draft[`${prefix}.attribute`],
        expected: draft[`${prefix}.expected`] || null,
        ...shareMargin(draft, prefix),
      },
    })),
    ...asked(draft, "preference", (prefix) => ({
      kind: "preference",
      ...shareMargin(draft, prefix),
    })),
    ...rowsOf(draft, "score").map((prefix) => ({
      prefix,
      endpoint: {
        kind: "attribute-score",
        role: draft[`${prefix}.role`],
        attribute: draft[`${prefix}.attribute`],
        lowAnchor: draft[`${prefix}.lowAnchor`],
        highAnchor: draft[`${prefix}.highAnchor`],
        ...pointMargin(draft, prefix),
      },
    })),
    ...asked(draft, "yield", (prefix) => ({
      kind: "extraction-yield",
      ...pointMargin(draft, prefix),
    })),
  ].map(({ prefix, endpoint }, at) => ({ prefix, endpoint: { id: `e${at + 1}`, ...endpoint } }));
}

/** Value of the field that asks an attribute of three cups and not of two. */
export const THREE_CUPS = "three";

/** The method field's value; a duo-trio's names its reference too: `duo-trio A`. */
function methodOf(typed: string): Record<string, unknown> {
  const [method = "", reference] = typed.split(" ");
  if (method === "") return { method: "triangle" };
  return reference === undefined ? { method } : { method, reference };
}

/** The rows of one kind that name an attribute, as field prefixes. */
export function rowsOf(draft: Draft, kind: "direction" | "score"): string[] {
  return Array.from({ length: MOST_ROWS }, (_, row) => `${kind}.${row}`).filter(
    (prefix) => (draft[`${prefix}.attribute`] ?? "").trim() !== "",
  );
}

/** What the form holds for the questions of a plan: the inverse of reading them. */
export function draftQuestions(endpoints: readonly Endpoint[]): Draft {
  const draft: Record<string, string> = {};
  const rows = { direction: 0, score: 0 };
  for (const endpoint of endpoints) {
    const prefix = prefixOf(endpoint, rows);
    draft[`${prefix}.role`] = endpoint.role;
    draft[`${prefix}.margin`] = typedMargin(endpoint);
    if (endpoint.kind === "overall-difference") {
      const { method, reference } = endpoint;
      draft[`${prefix}.method`] = reference === undefined ? method : `${method} ${reference}`;
    }
    if (endpoint.kind === "direction" || endpoint.kind === "attribute-difference") {
      draft[`${prefix}.cups`] = endpoint.kind === "direction" ? "two" : THREE_CUPS;
      draft[`${prefix}.attribute`] = endpoint.attribute;
      draft[`${prefix}.expected`] = endpoint.expected ?? "";
    }
    if (endpoint.kind === "attribute-score") {
      draft[`${prefix}.attribute`] = endpoint.attribute;
      draft[`${prefix}.lowAnchor`] = endpoint.lowAnchor;
      draft[`${prefix}.highAnchor`] = endpoint.highAnchor;
    }
  }
  return draft;
}

function asked(
  draft: Draft,
  prefix: string,
  rest: (prefix: string) => Record<string, unknown>,
): TypedQuestion[] {
  const role = draft[`${prefix}.role`] ?? "";
  return role === "" ? [] : [{ prefix, endpoint: { role, ...rest(prefix) } }];
}

/** Typed in percent, planned as a share. */
function shareMargin(draft: Draft, prefix: string) {
  const percent = numberFrom(draft[`${prefix}.margin`] ?? "");
  return { margin: percent === null ? undefined : percent / 100 };
}

function pointMargin(draft: Draft, prefix: string) {
  return { margin: numberFrom(draft[`${prefix}.margin`] ?? "") ?? undefined };
}

function prefixOf(endpoint: Endpoint, rows: { direction: number; score: number }): string {
  switch (endpoint.kind) {
    case "overall-difference":
      return "overall";
    case "preference":
      return "preference";
    case "extraction-yield":
      return "yield";
    case "attribute-difference":
    case "direction":
      rows.direction += 1;
      return `direction.${rows.direction - 1}`;
    case "attribute-score":
      rows.score += 1;
      return `score.${rows.score - 1}`;
  }
}

function typedMargin(endpoint: Endpoint): string {
  const isShare = endpoint.kind !== "attribute-score" && endpoint.kind !== "extraction-yield";
  // 0.29 · 100 is 28.999999999999996 in binary.
  return String(isShare ? Number((endpoint.margin * 100).toPrecision(12)) : endpoint.margin);
}
