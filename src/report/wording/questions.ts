import type { EndpointRole } from "../../experiment/endpoint.ts";
import type { EndpointFinding } from "../endpoint-finding.ts";

/** How much a question weighs. */
export const roleWords: Record<EndpointRole, string> = {
  primary: "main question",
  secondary: "supporting question",
  exploratory: "explored, decides nothing",
};

/** The question an endpoint asks. */
export function questionWords({
  kind,
  attribute,
  method,
}: Pick<EndpointFinding, "kind" | "attribute" | "method">) {
  switch (kind) {
    case "overall-difference":
      // The triangle is what people mean who name no method.
      return method === "triangle"
        ? "Can people tell them apart?"
        : `Can people tell them apart? (${method})`;
    case "attribute-difference":
      return `Which of three has the most ${attribute}?`;
    case "direction":
      return `Which has more ${attribute}?`;
    case "preference":
      return "Which do people prefer?";
    case "attribute-score":
      return `How much ${attribute}?`;
    case "extraction-yield":
      return "Which extracts more?";
  }
}
