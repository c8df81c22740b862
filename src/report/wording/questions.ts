import type { EndpointRole } from "../../experiment/endpoint.ts";
import type { EndpointFinding } from "../endpoint-finding.ts";

/** How much a question weighs. */
export const roleWords: Record<EndpointRole, string> = {
  primary: "main question",
  secondary: "supporting question",
  exploratory: "explored, decides nothing",
};

/** The question an endpoint asks. */
export function questionWords({ kind, attribute }: Pick<EndpointFinding, "kind" | "attribute">) {
  switch (kind) {
    case "overall-difference":
      return "Can people tell them apart?";
    case "attribute-difference":
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
