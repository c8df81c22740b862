import { CANNOT_TELL, scoreField } from "./ballot.ts";
import type { EndpointKind } from "./endpoint.ts";

/**
 * A ballot as a phone reads it out when nothing else gets through: groups of three digits (seat, set,
 * then every answer in the form's order: a chosen cup's code, 000 for "can't tell", a score) and a
 * check digit by ISO/IEC 7064, MOD 11,10.
 */
export interface Strip {
  seat: number;
  set: number;
  /** Three digits each. */
  answers: string[];
}

export type StripRefusal = "not-a-strip" | "check-digit";

/** Reads what was typed; spaces, hyphens and line breaks don't matter. */
export function readStrip(
  typed: string,
): { ok: true; strip: Strip } | { ok: false; refusal: StripRefusal } {
  const digits = typed.replace(/[\s–—-]/g, "");
  // Seat, set and at least one answer, and the check digit.
  if (!/^(?:\d{3}){3,}\d$/.test(digits)) return { ok: false, refusal: "not-a-strip" };
  const [body, check] = [digits.slice(0, -1), digits.slice(-1)];
  if (checkDigit(body) !== check) return { ok: false, refusal: "check-digit" };
  const [seat, set, ...answers] = body.match(/\d{3}/g) ?? [];
  return { ok: true, strip: { seat: Number(seat), set: Number(set), answers } };
}

/** The check digit of a string of digits by ISO/IEC 7064, MOD 11,10. */
export function checkDigit(digits: string): string {
  let product = 10;
  for (const digit of digits) product = (((product + Number(digit)) % 10 || 10) * 2) % 11;
  return String((11 - product) % 10);
}

/** What the strip's set asks, in the order of its form. */
interface StripForm {
  questions: readonly { id: string; kind: EndpointKind }[];
  codes: readonly string[];
}

/** The strip's answers as the form's fields; undefined when there are more or fewer than asked. */
export function fieldsOfStrip(
  { questions, codes }: StripForm,
  answers: readonly string[],
): Record<string, string> | undefined {
  const names = questions.flatMap(({ id, kind }) =>
    kind === "attribute-score" ? codes.map((code) => scoreField(id, code)) : [id],
  );
  if (names.length !== answers.length) return undefined;
  return Object.fromEntries(names.map((name, at) => [name, fieldValue(name, answers[at] ?? "")]));
}

function fieldValue(name: string, group: string): string {
  const isScore = name.includes("-");
  if (isScore) return String(Number(group));
  return group === "000" ? CANNOT_TELL : group;
}
