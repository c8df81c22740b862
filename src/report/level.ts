import type { Endpoint } from "../experiment/endpoint.ts";
import type { Plan } from "../experiment/plan.ts";

/** What an endpoint's overall test is held against: half of alpha where the coffees share it. */
export function levelOf(endpoint: Pick<Endpoint, "role">, plan: Plan): number {
  return splitsAlpha(endpoint, plan) ? plan.alpha / 2 : plan.alpha;
}

/** Alpha is split between the overall test and the coffees: sealed so, for the primary endpoint. */
export function splitsAlpha(endpoint: Pick<Endpoint, "role">, plan: Plan): boolean {
  return endpoint.role === "primary" && plan.coffeeClaims === "split-alpha";
}
