import { cupsOfSet, type SetKind, type SetRequest, setKinds } from "../design/serving-orders.ts";
import { setOf, type Treatment } from "./endpoint.ts";
import type { Plan } from "./plan.ts";

/** The kinds of set that a plan serves; the main question's first, as it gets the same-pot controls. */
export function setsServed(plan: Plan): SetKind[] {
  const kinds = new Set(plan.endpoints.map(setOf));
  const served = setKinds.filter((kind) => kinds.has(kind));
  const primary = plan.endpoints.find((endpoint) => endpoint.role === "primary");
  const first = primary && setOf(primary);
  return served.toSorted((one, other) => Number(other === first) - Number(one === first));
}

/** The same as a kit is drawn by: with the reference of a duo-trio, and whose cup is single in a 3-AFC. */
export function setRequests(plan: Plan): SetRequest[] {
  return setsServed(plan).map((kind) => setRequest(kind, plan));
}

function setRequest(kind: SetKind, plan: Plan): SetRequest {
  switch (kind) {
    case "duo-trio":
      return duoTrioOf(plan);
    case "three-afc":
      return { kind, oddTreatment: expectedOf(plan) };
    case "triangle":
    case "tetrad":
    case "ab":
      return { kind };
  }
}

function duoTrioOf({ endpoints }: Plan): SetRequest {
  const [reference = "balanced"] = endpoints.flatMap((endpoint) =>
    endpoint.kind === "overall-difference" && endpoint.reference ? [endpoint.reference] : [],
  );
  return reference === "balanced"
    ? { kind: "duo-trio", reference }
    : { kind: "duo-trio", reference: "constant", referenceTreatment: reference };
}

function expectedOf({ endpoints }: Plan): Treatment {
  const asked = endpoints.find((endpoint) => endpoint.kind === "attribute-difference");
  return asked?.expected ?? "B";
}

/** Cups that one taster is served, controls included; a same-pot control is a set of the first kind. */
export function cupsPerTaster(plan: Plan): number {
  const [first, ...others] = setRequests(plan).map(cupsOfSet);
  if (first === undefined) return 0;
  const perPair = others.reduce((sum, cups) => sum + cups, first);
  return perPair * pairsMet(plan) + first * plan.controls.samePot;
}

/** Presentations that one taster answers, controls included. */
export function presentationsPerTaster(plan: Plan): number {
  return setsServed(plan).length * pairsMet(plan) + plan.controls.samePot;
}

/** Times that a taster meets a brew pair, control pairs and repeats included. */
function pairsMet(plan: Plan): number {
  const pairs = plan.brewPairsPerCoffee + plan.controls.sameTreatmentPairsPerCoffee;
  return plan.coffees.length * pairs * plan.replicates;
}
