import { z } from "zod";

/**
 * What to do about an issue whose schema has no words of its own, in place of the library's; undefined
 * where the library's must do. For `safeParse`, which asks it only then.
 */
export function plainMessage(issue: z.core.$ZodRawIssue): string | undefined {
  switch (issue.code) {
    case "unrecognized_keys":
      return `There is no field of this name; the fields are ${fieldsOf(issue.inst)}.`;
    case "invalid_type":
      return ofType(issue);
    case "invalid_union":
      return ofForms(issue);
    case "too_small":
      return issue.origin === "array" ? `Give a list of at least ${issue.minimum}.` : "Give text.";
    case "too_big":
      return `Shorten this to at most ${issue.maximum}.`;
    default:
      return undefined;
  }
}

function ofType({ expected, inst }: z.core.$ZodRawIssue<z.core.$ZodIssueInvalidType>): string {
  switch (expected) {
    case "object":
      return `Give an object with these fields: ${fieldsOf(inst)}.`;
    case "array":
    case "tuple":
      return "Give a list.";
    case "string":
      return "Give text.";
    case "int":
      return "Give a whole number.";
    case "boolean":
      return "Give true or false.";
    default:
      return `Give a ${expected}.`;
  }
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
