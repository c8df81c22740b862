import type { Endpoint } from "../../experiment/endpoint.ts";

/** What a finding carries over from its endpoint. */
export function naming(endpoint: Endpoint) {
  return {
    endpointId: endpoint.id,
    kind: endpoint.kind,
    role: endpoint.role,
    attribute: "attribute" in endpoint ? endpoint.attribute : null,
  };
}
