import type { Endpoint } from "../../experiment/endpoint.ts";
import type { Plan } from "../../experiment/plan.ts";
import type { YieldPair } from "../brew-yields.ts";
import type { MeasuredCoffee, MeasuredEndpoint } from "../measured.ts";
import { naming } from "./naming.ts";
import { measureYield, yieldCompanions, yieldProcess } from "./yield.ts";

/** Measures the extraction endpoint: brew pairs of all coffees together, and coffee by coffee. */
export function measureBrews(
  endpoint: Extract<Endpoint, { kind: "extraction-yield" }>,
  plan: Plan,
  pairs: readonly YieldPair[],
): MeasuredEndpoint {
  const { alpha } = plan;
  const coffees = plan.coffees.map((coffee): MeasuredCoffee => {
    const own = pairs.filter(({ coffeeId }) => coffeeId === coffee.id);
    const measured = measureYield(endpoint, own, alpha);
    const { id: coffeeId, name, roast } = coffee;
    return { coffeeId, name, roast, ...measured, twoSidedPValue: measured.difference.pValue };
  });
  return {
    ...naming(endpoint),
    unit: "yield-points",
    ...measureYield(endpoint, pairs, alpha),
    process: yieldProcess(pairs, alpha),
    coffees,
    homogeneity: null,
    replicated: null,
    companions: yieldCompanions(pairs),
    cannotTell: null,
    tasters: [],
  };
}
