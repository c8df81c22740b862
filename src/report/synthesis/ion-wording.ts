import { type IonName, ionNames } from "../../water/ions.ts";
import { listed } from "../wording/numbers.ts";
import type { IonEffects } from "./ion-effects.ts";
import { countWords } from "./wording.ts";

/** Why nothing is said about ions, or about some of them; null when all could be told apart. */
export function ionRefusalSentence(effects: IonEffects): string | null {
  if (effects.ok) {
    return effects.aliased.length === 0
      ? null
      : `Nothing is said about ${ionsListed(effects.aliased)}: in these recipes they changed in step with other ions.`;
  }
  switch (effects.refusal) {
    case "aliased":
      return `These recipes don’t tell ${ionsListed(effects.aliased)} apart: whenever one changed, the others changed in step. Plan a session whose recipes change them apart, for example the same cation with another anion.`;
    case "no-ions":
      return "No session yet whose plan states different ions for its two treatments. State them in the plan, in mg/L in the finished cup.";
    case "too-few-studies":
      return `${countWords(effects.studies)} ${effects.studies === 1 ? "session says" : "sessions say"} something about ions; ${effects.needed} are needed to tell these ones apart.`;
  }
}

/** What each effect per ion stands for. */
export function partnerSentence(partner: IonName | null): string | null {
  return partner === null
    ? null
    : `Water is neutral, so no ion comes alone: each effect is that of the ion with ${partner} making up its charge.`;
}

function ionsListed(ions: readonly IonName[]): string {
  return listed(ionNames.filter((ion) => ions.includes(ion)));
}
