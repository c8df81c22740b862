import type { EndpointKind, Treatment } from "../../experiment/endpoint.ts";
import type { ProcessClaim } from "../process-claim.ts";
import { counted, timesByLuck } from "./numbers.ts";

export interface ProcessFacts {
  process: ProcessClaim;
  kind: EndpointKind;
  names: Record<Treatment, string>;
}

/** One sentence on whether it is the treatment, beyond the pots that were on the table. */
export function processSentence(facts: ProcessFacts): string {
  const { process } = facts;
  switch (process.status) {
    case "shown":
      return `It holds beyond these pots: ${evidence(facts)}.`;
    case "not-shown":
      return `That it is the treatment, and not just these pots, is not shown: ${evidence(facts)}.`;
    case "too-few-pairs":
      return `Nothing can be said beyond these pots: ${tooFew(process)}.`;
    case "no-control-pairs":
      return "Nothing can be said beyond these pots: without hidden pairs of pots brewed alike, nobody knows how often people tell any two pots apart.";
    case "no-data":
      return "No brew pair has answers, so nothing can be said about the treatment.";
  }
}

/** What stands in its place when the test is not sound. */
export function unsoundProcessSentence(): string {
  return "Nothing is claimed beyond these pots, since the test is not sound.";
}

function evidence({ process, kind, names }: ProcessFacts): string {
  const often = timesByLuck(process.pValue ?? 1);
  if (process.method === "contrast-with-control-pairs") {
    const estimate = process.estimate ?? 0;
    const answers = `${Math.round(100 * Math.abs(estimate))} ${estimate < 0 ? "fewer" : "more"} answers of 100`;
    return `pots of two treatments were told apart in ${answers} than pots of one treatment; luck alone would do that ${often}`;
  }
  const [a, b] = [process.favouringA ?? 0, process.favouringB ?? 0];
  if (a === b && (process.pValue ?? 1) > ALMOST_ALWAYS) {
    return `${counted(process.pairs, "brew pair")} split evenly between ${names.A} and ${names.B}`;
  }
  const [most, name] = b >= a ? [b, names.B] : [a, names.A];
  const verb = kind === "extraction-yield" ? "extracted more with" : "leaned to";
  return `${most} of ${counted(process.pairs, "brew pair")} ${verb} ${name}; if the treatment did nothing, they would lean that far one way ${often}`;
}

/** Luck splits pairs at least as unevenly as this nearly always. */
const ALMOST_ALWAYS = 0.95;

function tooFew({ pairs, even, pairsForAnyClaim, method }: ProcessClaim): string {
  const have = counted(pairs, "brew pair");
  if (pairsForAnyClaim === null) return `${have} can't carry that claim`;
  if (method !== "sign-flip-over-brew-pairs") {
    if (pairs >= pairsForAnyClaim) {
      return `${have}, with results as alike as theirs and the control pairs', can't carry that claim`;
    }
    return `there were ${have}, and it takes at least ${pairsForAnyClaim}`;
  }
  const level = even ? `, ${even} of them even` : "";
  return `there were ${have}${level}, and it takes at least ${pairsForAnyClaim} that lean, all one way`;
}
