import type { Treatment } from "./endpoint.ts";
import type { Plan } from "./plan.ts";
import { unknownWords } from "./translations.ts";

/** The most seats one session may hold. */
const MAXIMUM_SEATS = 400;

/** What is wrong with a plan as a whole, and at which of its fields. */
export interface Complaint {
  path: (string | number)[];
  message: string;
}

/** The rules that hold between parts of a plan. */
export function complaintsAbout(plan: Plan): Complaint[] {
  return [
    ...onePrimary(plan),
    ...uniqueNames(plan),
    ...overallDifferenceOnce(plan),
    ...referenceOfDuoTrio(plan),
    ...oneExpectation(plan),
    ...wordsThatAreAsked(plan),
    ...room(plan),
    ...yieldNeedsPairs(plan),
    ...windowOpensFirst(plan),
  ];
}

function onePrimary(plan: Plan): Complaint[] {
  const primaries = plan.endpoints.filter((endpoint) => endpoint.role === "primary").length;
  if (primaries === 1) return [];
  return [
    { path: ["endpoints"], message: "Choose exactly one main question; the others support it" },
  ];
}

function uniqueNames(plan: Plan): Complaint[] {
  const lists: [string, string[]][] = [
    ["coffees", plan.coffees.map((coffee) => coffee.name.toLowerCase())],
    ["brewers", plan.brewers.map((brewer) => brewer.toLowerCase())],
    ["endpoints", plan.endpoints.map((endpoint) => endpoint.id)],
    ["coffees", plan.coffees.map((coffee) => coffee.id)],
  ];
  return lists
    .filter(([, names]) => new Set(names).size < names.length)
    .map(([path]) => ({
      path: [path],
      message: "Two of these have the same name; tell them apart",
    }));
}

function overallDifferenceOnce(plan: Plan): Complaint[] {
  const overall = plan.endpoints.filter((endpoint) => endpoint.kind === "overall-difference");
  return overall.length > 1
    ? [{ path: ["endpoints"], message: "Ask for an overall difference once" }]
    : [];
}

function referenceOfDuoTrio(plan: Plan): Complaint[] {
  return plan.endpoints.flatMap((endpoint, at) => {
    if (endpoint.kind !== "overall-difference") return [];
    const isNamed = endpoint.reference !== undefined;
    if (isNamed === (endpoint.method === "duo-trio")) return [];
    const message = isNamed
      ? "Only a duo-trio has a reference"
      : "Say which treatment is the reference of the duo-trio";
    return [{ path: ["endpoints", at, "reference"], message }];
  });
}

/** All questions to three cups are asked of one tray, whose single cup is of one treatment. */
function oneExpectation(plan: Plan): Complaint[] {
  let first: Treatment | undefined;
  return plan.endpoints.flatMap((endpoint, at) => {
    if (endpoint.kind !== "attribute-difference") return [];
    first ??= endpoint.expected;
    const message =
      "Questions to three cups share their trays: expect the same treatment to have more in each";
    return endpoint.expected === first ? [] : [{ path: ["endpoints", at, "expected"], message }];
  });
}

function wordsThatAreAsked(plan: Plan): Complaint[] {
  return unknownWords(plan.translations ?? {}, plan).map(({ language, word }) => ({
    path: ["translations", language],
    message: `No question, substance or allergen says “${word}”; write it as there`,
  }));
}

/** Letters left when those that look like a treatment or a digit are gone (A, B, I, O, Q). */
const POT_LETTERS = 21;

function room(plan: Plan): Complaint[] {
  const complaints: Complaint[] = [];
  const pots = 2 * (plan.brewPairsPerCoffee + plan.controls.sameTreatmentPairsPerCoffee);
  if (pots > POT_LETTERS) {
    complaints.push({
      path: ["brewPairsPerCoffee"],
      message: `That makes ${pots} pots a coffee; there are letters for ${POT_LETTERS}. Use fewer pairs, or a second session`,
    });
  }
  if (plan.tasters + plan.spareSeats > MAXIMUM_SEATS) {
    complaints.push({
      path: ["tasters"],
      message: `At most ${MAXIMUM_SEATS} seats, spare ones included`,
    });
  }
  return complaints;
}

function yieldNeedsPairs(plan: Plan): Complaint[] {
  const asks = plan.endpoints.some((endpoint) => endpoint.kind === "extraction-yield");
  const pairs = plan.coffees.length * plan.brewPairsPerCoffee;
  return asks && plan.coffees.length > 0 && pairs < 2
    ? [
        {
          path: ["brewPairsPerCoffee"],
          message: "Comparing extraction needs at least two brew pairs in all",
        },
      ]
    : [];
}

function windowOpensFirst({ serving }: Plan): Complaint[] {
  const { servingFromMinutes: from, windowMinutes: within } = serving ?? {};
  if (from === undefined || within === undefined || from < within) return [];
  return [
    {
      path: ["serving", "servingFromMinutes"],
      message: `Give fewer than the ${within} minutes after which a cup is too cold`,
    },
  ];
}
