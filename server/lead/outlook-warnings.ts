import { isLopsided } from "../../src/design/serving-orders.ts";
import { cupsOfFullerPot } from "../../src/design/spares.ts";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import { setRequests } from "../../src/experiment/served-sets.ts";
import type {
  DifferenceOutlook,
  EndpointOutlook,
  PlanOutlook,
} from "../../src/report/planning/outlook.ts";
import { kitInput } from "../sealing.ts";
import { panelNeeded } from "./panel-needed.ts";
import { counted, ifTrue, questionName } from "./plan-words.ts";

/** Beyond this many cups palates tire; our own limit. */
const MANY_CUPS = 16;

/** What should be thought over before anything is brewed, gravest first. */
export function outlookWarnings(plan: Plan, outlook: PlanOutlook): string[] {
  const primary = plan.endpoints.find(({ role }) => role === "primary");
  const of = outlook.endpoints.find(({ endpointId }) => endpointId === primary?.id);
  return [
    ...plan.endpoints.flatMap((endpoint) => neverShown(plan, endpoint, outlook)),
    ...(primary && of ? tooFew(plan, primary, of, outlook.power) : []),
    ...(of ? noProcessClaim(of) : []),
    ...withoutControls(plan),
    ...unevenBrewers(plan),
    ...manyCups(outlook.cupsPerTaster),
    ...smallPots(plan),
    ...unevenPours(plan),
  ];
}

/** A question that decides something, where no outcome at all can show a difference. */
function neverShown(plan: Plan, endpoint: Endpoint, { endpoints, power }: PlanOutlook): string[] {
  const of = endpoints.find(({ endpointId }) => endpointId === endpoint.id);
  if (endpoint.role === "exploratory" || !of || !cannotShow(of.difference)) return [];
  const which = endpoint.role === "primary" ? "the main question" : "a supporting question";
  const who = participants(plan, endpoint, of);
  const wanted = panelNeeded(plan, endpoint, of.difference, power);
  const advice =
    wanted === null
      ? ""
      : ` ${wanted} would find ${ifTrue(endpoint)} ${Math.round(power * 100)} % of the time or more.`;
  return [
    `With ${who} ${which}, “${questionName(endpoint)}”, can never show a difference, however it turns out.${advice}`,
  ];
}

/** Every outcome that can be shown has some chance; without any the chance is exactly 0. */
function cannotShow({ chanceAtMargin }: DifferenceOutlook): boolean {
  return chanceAtMargin === 0;
}

function participants(plan: Plan, { kind }: Endpoint, { answers }: EndpointOutlook): string {
  return kind === "extraction-yield"
    ? counted(answers, "brew pair")
    : counted(plan.tasters, "taster");
}

function tooFew(plan: Plan, endpoint: Endpoint, of: EndpointOutlook, power: number): string[] {
  const { difference } = of;
  if (difference.chanceAtMargin >= power || cannotShow(difference)) return [];
  // Short of the power wanted, so it mustn't round up to it.
  const chance = Math.min(Math.round(difference.chanceAtMargin * 100), Math.round(power * 100) - 1);
  const who = participants(plan, endpoint, of);
  const wanted = panelNeeded(plan, endpoint, difference, power);
  const advice =
    wanted === null ? "" : ` ${wanted} would make it ${Math.round(power * 100)} % or more.`;
  return [
    `Too few for the main question: with ${who}, ${ifTrue(endpoint)} is found ${chance} % of the time.${advice}`,
  ];
}

function noProcessClaim({ process }: EndpointOutlook): string[] {
  if (process.claimable) return [];
  if (process.needsControlPairs && process.controlPairs === 0) {
    return [
      "The main question can only speak of these cups. For a claim about the process, right and wrong answers need hidden same-treatment pairs to compare with.",
    ];
  }
  const pairs = process.pairsForAnyClaim;
  return [
    `The main question can only speak of these cups: ${counted(process.pairs, "brew pair")} can never carry a claim about the process.${pairs === null ? "" : ` Plan at least ${pairs}.`}`,
  ];
}

function withoutControls({ controls }: Plan): string[] {
  if (controls.samePot + controls.sameTreatmentPairsPerCoffee > 0) return [];
  return [
    "No hidden controls: nobody will know how often this panel finds a difference where there is none.",
  ];
}

function unevenBrewers({ brewers, brewPairsPerCoffee }: Plan): string[] {
  if (brewers.length < 2 || brewPairsPerCoffee % 2 === 0) return [];
  return [
    "With an odd number of brew pairs per coffee the treatments can't be swapped evenly across brewers; an even number can.",
  ];
}

/** Grams of water that a gram of grounds keeps back. Common practice, no source. */
const WATER_KEPT = 2;

/** A pot that runs dry leaves the last tasters without their cups. */
function smallPots(plan: Plan): string[] {
  const input = kitInput(plan);
  const cups = Math.ceil(cupsOfFullerPot(input)) + input.sparesPerPot;
  const { doseGrams, brewWaterGrams, millilitresPerCup } = plan.recipe;
  const needed = Math.ceil(cups * millilitresPerCup);
  const yielded = Math.round(brewWaterGrams - WATER_KEPT * doseGrams);
  if (needed <= yielded) return [];
  return [
    `A pot fills about ${cups} cups with its spares, ${needed} mL, and this recipe leaves about ${yielded} mL in it. Brew more in each pot, pour less into each cup, or serve fewer seats.`,
  ];
}

/** What the numbers of the pour sheet give away. */
function unevenPours(plan: Plan): string[] {
  return setRequests(plan).some(isLopsided)
    ? [
        "With a constant reference, or three cups with one expected to have more, one treatment's pots fill more cups: the pour sheet shows which pots are alike. Let someone pour who neither serves nor tastes.",
      ]
    : [];
}

function manyCups(cups: number): string[] {
  return cups <= MANY_CUPS
    ? []
    : [`${cups} cups per person: beyond about ${MANY_CUPS} palates tire. Consider two sessions.`];
}
