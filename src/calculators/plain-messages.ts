import { z } from "zod";

/**
 * What to do about an issue whose schema has no words of its own, in place of the library's; undefined
 * where the library's must do. For `safeParse`, which asks it only then.
 */
export function plainMessage(issue: z.core.$ZodRawIssue): string | undefined {
  if (issue.code === "unrecognized_keys") {
    return `There is no field of this name; the fields are ${fieldsOf(issue.inst)}.`;
  }
  if (issue.code === "invalid_type") return ofType(issue);
  if (issue.code === "invalid_union") return ofForms(issue);
  if (issue.code === "too_small") {
    return issue.origin === "array" ? `Give a list of at least ${issue.minimum}.` : "Give text.";
  }
  return issue.code === "too_big" ? `Shorten this to at most ${issue.maximum}.` : undefined;
}

const typeWords: Readonly<Record<string, string>> = {
  array: "Give a list.",
  tuple: "Give a list.",
  string: "Give text.",
  int: "Give a whole number.",
  boolean: "Give true or false.",
};

function ofType({ expected, inst }: z.core.$ZodRawIssue<z.core.$ZodIssueInvalidType>): string {
  if (expected === "object") return `Give an object with these fields: ${fieldsOf(inst)}.`;
  return typeWords[expected] ?? `Give a ${expected}.`;
}

/** What every form asks for, or the words that tell the forms apart. */
function ofForms(issue: z.core.$ZodRawIssue<z.core.$ZodIssueInvalidUnion>): string {
  if (Array.isArray(issue.options)) return `Give one of ${issue.options.join(", ")}.`;
  return issue.errors.map(([first]) => first?.message ?? "").join(" Or: ");
}

function fieldsOf(schema: unknown): string {
  if (schema instanceof z.ZodDiscriminatedUnion) {
    return `${schema.def.discriminator} and those that go with it`;
  }
  return schema instanceof z.ZodObject ? Object.keys(schema.shape).join(", ") : "none";
}
