import type { Endpoint, EndpointKind } from "../../experiment/endpoint.ts";
import { plainName } from "../../experiment/typed-name.ts";
import type { MethodName } from "../../statistics/methods/method.ts";
import { naming } from "../endpoints/naming.ts";

/** What is asked, whatever the margin or the weight of the endpoint that asks it. */
export interface Question {
  kind: EndpointKind;
  /** As first typed; null for questions without one. */
  attribute: string | null;
  /** What its answers are guessed by; shares who can tell compare within one method only. */
  method: MethodName | null;
}

export function questionOf(endpoint: Endpoint): Question {
  const { kind, attribute, method } = naming(endpoint);
  return { kind, attribute, method };
}

/** One text for the same question, however its attribute was typed; fit for an address. */
export function questionSlug({ kind, attribute, method }: Question): string {
  const isOtherMethod = kind === "overall-difference" && method !== "triangle";
  if (attribute === null) return isOtherMethod ? `${kind}-${method}` : kind;
  return `${kind}-${plainName(attribute).replace(/[^\p{L}\p{N}]+/gu, "-")}`;
}
