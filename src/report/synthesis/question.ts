import type { Endpoint, EndpointKind } from "../../experiment/endpoint.ts";
import { plainName } from "./groups.ts";

/** What is asked, whatever the margin or the weight of the endpoint that asks it. */
export interface Question {
  kind: EndpointKind;
  /** As first typed; null for questions without one. */
  attribute: string | null;
}

export function questionOf(endpoint: Endpoint): Question {
  return { kind: endpoint.kind, attribute: "attribute" in endpoint ? endpoint.attribute : null };
}

/** One text for the same question, however its attribute was typed; fit for an address. */
export function questionSlug({ kind, attribute }: Question): string {
  if (attribute === null) return kind;
  return `${kind}-${plainName(attribute).replace(/[^\p{L}\p{N}]+/gu, "-")}`;
}
