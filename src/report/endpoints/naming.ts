import { type Endpoint, methodOf } from "../../experiment/endpoint.ts";

/** What a finding carries over from its endpoint. */
export function naming(endpoint: Endpoint) {
  return {
    endpointId: endpoint.id,
    kind: endpoint.kind,
    role: endpoint.role,
    attribute: "attribute" in endpoint ? endpoint.attribute : null,
    method: isMeasured(endpoint) ? null : methodOf(endpoint),
  };
}

type MeasuredKind = Extract<Endpoint, { kind: "attribute-score" | "extraction-yield" }>;

const isMeasured = (endpoint: Endpoint): endpoint is MeasuredKind =>
  endpoint.kind === "attribute-score" || endpoint.kind === "extraction-yield";
