import type { EndpointKind } from "../../experiment/endpoint.ts";

/** Yields are told to hundredths of a percentage point, scores to tenths of a point. */
export const decimalsOf = (kind: EndpointKind) => (kind === "extraction-yield" ? 2 : 1);

export const pointsOf = (kind: EndpointKind) =>
  kind === "extraction-yield" ? "percentage points" : "points";
