import type { Endpoint } from "../experiment/endpoint.ts";
import type { Plan } from "../experiment/plan.ts";
import { type Assumptions, LARGEST_SHARE } from "./assumptions.ts";

export const scenarioNames = [
  "identical",
  "only-pots-differ",
  "at-the-margin",
  "as-expected",
  "one-coffee-opposite",
] as const;
export type ScenarioName = (typeof scenarioNames)[number];

/** What is true in one row of a rehearsal. */
export interface Scenario {
  name: ScenarioName;
  /**
   * The true effect of each endpoint on each coffee, by ids, in the endpoint's unit: share who can
   * tell (triangle), share whose pick is no guess towards B (pairs), points of B less A.
   */
  effects: ReadonlyMap<string, ReadonlyMap<string, number>>;
  assumptions: Assumptions;
}

/**
 * The rows of a rehearsal: nothing differs at all; only the pots differ by themselves; every effect
 * just as large as its margin; effects as expected; as expected but the last coffee the other way
 * (in a triangle, where cups only differ or don't: not at all). What the supporting questions would
 * show keeps to the main one: each the same multiple of its own margin. Without spread between pots,
 * or with a single coffee, the rows that need them are left out.
 */
export function scenariosFor(plan: Plan, assumptions: Assumptions): Scenario[] {
  const primary = plan.endpoints.find(({ role }) => role === "primary");
  if (!primary) throw new Error("A plan has one primary endpoint");
  const multiple = assumptions.expectedEffect / primary.margin;
  const last = plan.coffees.at(-1)?.id;
  const everywhere = (times: number) => effectsOf(plan, () => times);
  const named = (name: ScenarioName, effects: Scenario["effects"]) => ({
    name,
    effects,
    assumptions,
  });
  return [
    { ...named("identical", everywhere(0)), assumptions: { ...assumptions, potSdLogit: 0 } },
    ...(assumptions.potSdLogit > 0 ? [named("only-pots-differ", everywhere(0))] : []),
    named("at-the-margin", everywhere(1)),
    named("as-expected", everywhere(multiple)),
    ...(plan.coffees.length > 1
      ? [
          named(
            "one-coffee-opposite",
            effectsOf(plan, (coffeeId) => (coffeeId === last ? -multiple : multiple)),
          ),
        ]
      : []),
  ];
}

function effectsOf(plan: Plan, timesMargin: (coffeeId: string) => number): Scenario["effects"] {
  return new Map(
    plan.endpoints.map((endpoint) => [
      endpoint.id,
      new Map(plan.coffees.map(({ id }) => [id, effectOf(endpoint, timesMargin(id))])),
    ]),
  );
}

function effectOf(endpoint: Endpoint, timesMargin: number): number {
  const effect = timesMargin * endpoint.margin;
  switch (endpoint.kind) {
    case "overall-difference":
      return Math.min(LARGEST_SHARE, Math.max(0, effect));
    case "attribute-difference":
    case "direction":
    case "preference": {
      const towardsB = "expected" in endpoint && endpoint.expected === "A" ? -1 : 1;
      return towardsB * Math.min(LARGEST_SHARE, Math.max(-LARGEST_SHARE, effect));
    }
    case "attribute-score":
    case "extraction-yield":
      return effect;
  }
}
