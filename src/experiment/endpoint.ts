import { z } from "zod";
import type { SetKind } from "../design/serving-orders.ts";
import type { MethodName } from "../statistics/methods/method.ts";

export type { SetKind } from "../design/serving-orders.ts";

/** The two treatments of an experiment, by their neutral names. */
export const treatmentSchema = z.enum(["A", "B"]);
export type Treatment = z.infer<typeof treatmentSchema>;

/** How much an endpoint weighs: one primary, Holm over the secondary ones, the rest exploratory. */
export const roleSchema = z.enum(["primary", "secondary", "exploratory"]);
export type EndpointRole = z.infer<typeof roleSchema>;

/** Top of the line scale on which attributes are scored; scores are whole points from 0. */
export const SCALE_MAXIMUM = 100;

const common = {
  id: z.string().regex(/^e[1-9][0-9]?$/, "An endpoint id is e1, e2, …"),
  role: roleSchema,
};

const shareOfDistinguishers = z
  .number("Give the margin as a share, for example 0.3")
  .gt(0, "The margin must be more than 0 %")
  .lt(1, "The margin must be less than 100 %");

const word = z.string().trim().min(1, "Name it").max(60, "Keep it under 60 characters");

/**
 * Can anyone tell the treatments apart? Answered by picking the odd cup of a triangle (ISO 4120), by
 * matching a reference (duo-trio, ISO 10399) or by making two groups of two (tetrad).
 */
const overallDifference = z.strictObject({
  ...common,
  kind: z.literal("overall-difference"),
  method: z.enum(["triangle", "duo-trio", "tetrad"]),
  /** For a duo-trio only: both treatments in turn, or always the same one. */
  reference: z.enum(["balanced", "A", "B"]).optional(),
  /** Largest proportion of distinguishers that does not matter. */
  margin: shareOfDistinguishers,
});

/**
 * Does the treatment named beforehand have more of an attribute? Answered by picking the cup with the
 * most of it among three, the other two being alike (3-AFC).
 */
const attributeDifference = z.strictObject({
  ...common,
  kind: z.literal("attribute-difference"),
  attribute: word,
  /** The treatment expected to have more; its cup is the single one. */
  expected: z.enum(
    ["A", "B"],
    "With three cups, say beforehand which treatment is expected to have more",
  ),
  margin: shareOfDistinguishers,
});

/** Which of two cups has more of an attribute (paired comparison, 2-AFC). */
const direction = z.strictObject({
  ...common,
  kind: z.literal("direction"),
  attribute: word,
  /** One-sided only with a direction named beforehand (ISO 5495). */
  expected: treatmentSchema.nullable(),
  margin: shareOfDistinguishers,
});

/** Which of two cups is liked better; always two-sided. */
const preference = z.strictObject({
  ...common,
  kind: z.literal("preference"),
  margin: shareOfDistinguishers,
});

/** How strong an attribute is, for each of two cups, on a line scale of whole points. */
const attributeScore = z.strictObject({
  ...common,
  kind: z.literal("attribute-score"),
  attribute: word,
  lowAnchor: word,
  highAnchor: word,
  /** Largest mean difference in scale points that does not matter. */
  margin: z
    .number("Give the margin in points of the scale")
    .gt(0, "The margin must be more than 0 points")
    .max(SCALE_MAXIMUM, `The scale has ${SCALE_MAXIMUM} points`),
});

/** Extraction yield of the brew pairs, from the brew log. */
const extractionYield = z.strictObject({
  ...common,
  kind: z.literal("extraction-yield"),
  /** Largest mean difference in percentage points of yield that does not matter. */
  margin: z
    .number("Give the margin in percentage points of yield")
    .gt(0, "The margin must be more than 0 points")
    .max(10, "More than 10 points of yield is no margin"),
});

/** A question the plan asks. */
export const endpointSchema = z.discriminatedUnion("kind", [
  overallDifference,
  attributeDifference,
  direction,
  preference,
  attributeScore,
  extractionYield,
]);
export type Endpoint = z.infer<typeof endpointSchema>;
export type EndpointKind = Endpoint["kind"];

/** A question that is answered rightly or wrongly, by picking or matching cups. */
export type RightOrWrongEndpoint = Extract<
  Endpoint,
  { kind: "overall-difference" | "attribute-difference" }
>;

/** A question that is answered by a forced choice of any kind. */
export type ForcedChoiceEndpoint =
  | RightOrWrongEndpoint
  | Extract<Endpoint, { kind: "direction" | "preference" }>;

/** Whether answers of this kind are right or wrong; all others lean to a treatment or measure one. */
export function isRightOrWrong<E extends { kind: EndpointKind }>(
  endpoint: E,
): endpoint is E & { kind: RightOrWrongEndpoint["kind"] } {
  return endpoint.kind === "overall-difference" || endpoint.kind === "attribute-difference";
}

/** The forced-choice method whose guessing probability and d′ hold for the answers. */
export function methodOf(endpoint: ForcedChoiceEndpoint): MethodName {
  switch (endpoint.kind) {
    case "overall-difference":
      return endpoint.method;
    case "attribute-difference":
      return "three-afc";
    case "direction":
    case "preference":
      return "paired-comparison";
  }
}

/** Which served set answers an endpoint; null when tasters don't answer it. */
export function setOf(endpoint: Endpoint): SetKind | null {
  switch (endpoint.kind) {
    case "overall-difference":
      return endpoint.method;
    case "attribute-difference":
      return "three-afc";
    case "direction":
    case "preference":
    case "attribute-score":
      return "ab";
    case "extraction-yield":
      return null;
  }
}
