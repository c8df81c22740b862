import { type Endpoint, isRightOrWrong } from "../../src/experiment/endpoint.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { EndpointOutlook } from "../../src/report/planning/outlook.ts";
import { USUAL_POWER } from "../../src/report/what-would-decide.ts";
import { panelNeeded } from "./panel-needed.ts";
import { counted, ifTrue, questionName, roleName } from "./plan-words.ts";

/** What one question can and can't find: for these cups, for the process, for passing as close enough. */
export interface QuestionOutlook {
  name: string;
  role: string;
  lines: { term: string; text: string }[];
  effectsAre: string;
  chances: { effect: string; chance: string }[];
}

/** One question's chances in words. */
export function questionOutlook(
  endpoint: Endpoint,
  outlook: EndpointOutlook,
  plan: Plan,
): QuestionOutlook {
  return {
    name: questionName(endpoint),
    role: roleName(endpoint.role),
    lines: [
      { term: "These cups", text: cupsText(endpoint, outlook) },
      ...panelLine(endpoint, outlook, plan),
      { term: "The process", text: processText(outlook) },
      { term: "Close enough", text: similarityText(endpoint, outlook, plan) },
      ...potNoise(outlook),
    ],
    effectsAre: effectsAre(endpoint),
    chances: outlook.difference.chances.map(({ effect, chance }) => ({
      effect: isShare(endpoint) ? percent(effect) : String(effect),
      chance: percent(chance),
    })),
  };
}

function cupsText(endpoint: Endpoint, { answers, difference, tastersRepeat }: EndpointOutlook) {
  const { criticalCount, chanceAtMargin, assumedSd } = difference;
  const found = `${capital(ifTrue(endpoint))} is found ${percent(chanceAtMargin)} of the time`;
  if (assumedSd !== null) {
    return `${found}, if single differences vary by ${assumedSd} (SD; an assumption until you have your own).`;
  }
  const repeatsPairs = tastersRepeat && !isRightOrWrong(endpoint);
  if (repeatsPairs && chanceAtMargin > 0) {
    return `${counted(answers, "answer")}, decided over tasters by the way each leans in sum. ${found}, less when tasters are unlike.`;
  }
  if (criticalCount === null) {
    return `${counted(answers, "answer")} can never show a difference, however they turn out.`;
  }
  const needed = isRightOrWrong(endpoint) ? "right" : "alike";
  const same = tastersRepeat ? ", taking it that always the same people notice" : "";
  return `${counted(answers, "answer")}; ${criticalCount} ${needed} show a difference. ${found}${same}.`;
}

/** For the main question only: the panel is sized by it, and small margins take long to search. */
function panelLine(endpoint: Endpoint, { difference }: EndpointOutlook, plan: Plan) {
  if (endpoint.role !== "primary") return [];
  const needed = panelNeeded(plan, endpoint, difference, USUAL_POWER);
  const chance = percent(USUAL_POWER);
  const text =
    needed === null
      ? `No panel makes that ${chance}.`
      : `${needed} make that ${chance} or more, everything else as planned.`;
  return [{ term: "Panel needed", text }];
}

function capital(sentence: string): string {
  return sentence.charAt(0).toUpperCase() + sentence.slice(1);
}

function processText({ process }: EndpointOutlook): string {
  const pairs = counted(process.pairs, "brew pair");
  if (process.needsControlPairs && process.controlPairs === 0) {
    return "Right and wrong answers can carry a claim about the process only beside hidden same-treatment pairs; this plan has none.";
  }
  if (!process.claimable) {
    const enough = process.pairsForAnyClaim;
    return `${pairs} can never carry a claim about the process, however they turn out${enough === null ? "" : `; ${enough} can`}.`;
  }
  if (process.pairsThatMustAgree === null) {
    return `${pairs} beside ${counted(process.controlPairs, "control pair")} can carry a claim about the process.`;
  }
  return `${pairs} can carry a claim about the process if ${process.pairsThatMustAgree} of them lean the same way.`;
}

function similarityText(endpoint: Endpoint, { similarity }: EndpointOutlook, plan: Plan): string {
  const { passOne, passAll, maximumCount, minimumCount, approximate } = similarity;
  const onAll =
    plan.coffees.length === 1 ? "" : ` on one coffee, ${percent(passAll)} on every coffee at once`;
  const rates = `Cups that are truly the same pass ${percent(passOne)} of the time${onAll}`;
  if (endpoint.kind === "extraction-yield") return `${rates}.`;
  if (maximumCount === null || !isRightOrWrong(endpoint)) return `${rates}.`;
  const strict = approximate ? " The real test is stricter, as tasters repeat." : "";
  const count =
    minimumCount === null ? `at most ${maximumCount}` : `${minimumCount} to ${maximumCount}`;
  return `Passes with ${count} right on a coffee. ${rates}.${strict}`;
}

function potNoise({ falseAlarms }: EndpointOutlook): { term: string; text: string }[] {
  const noise = falseAlarms.whenPotsVary;
  if (noise === null) return [];
  const text = `If pots vary by themselves (SD ${noise.potSdLogit} logit) and the treatment does nothing, these cups still differ ${percent(noise.rate)} of the time. Only the process claim guards against that.`;
  return [{ term: "Pots differ anyway", text }];
}

function effectsAre(endpoint: Endpoint): string {
  if (isShare(endpoint)) return "If so many truly notice";
  return endpoint.kind === "attribute-score" ? "If scores differ by" : "If yields differ by";
}

function isShare({ kind }: Endpoint): boolean {
  return kind !== "attribute-score" && kind !== "extraction-yield";
}

/** `80 %`, and no chance rounded to certainty. */
function percent(share: number): string {
  if (share > 0.995) return "over 99 %";
  if (share < 0.005) return "under 1 %";
  return `${Math.round(share * 100)} %`;
}
