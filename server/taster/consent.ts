import { createHash } from "node:crypto";
import { notices } from "../../src/safety/notices.ts";
import type { SittingFacts } from "../store/blind.ts";
import type { Language } from "./languages.ts";
import { say } from "./messages.ts";

/** What a taster agrees to, in one language. */
export interface Consent {
  cautions: string[];
  /** Asks to promise to spit: swallowing every cup would be too much caffeine. Null when it wouldn't. */
  spit: string | null;
  /** SHA-256 of all that was shown, to be kept with the consent. */
  hash: string;
}

/** The consent for a sitting: every caution that applies to anyone's cups, whatever they hold. */
export function consentFor(facts: SittingFacts, language: Language): Consent {
  const t = language.messages;
  const found = notices({
    cups: facts.cups,
    millilitresPerCup: facts.millilitresPerCup,
    servingTemperature: facts.servingTemperatureCelsius,
    substances: facts.substances,
  }).filter((notice) => notice.audience.includes("taster"));
  // A plan names what is added, not how much of which ion, so anything added asks for this caution.
  const minerals =
    facts.substances.length > 0 ? [cautionText(language, "minerals-kidney-heart")] : [];
  const others = found.map(({ code, values }) => say(cautionText(language, code), values));
  const cautions = [...minerals, ...others];
  const over = found.find(({ code }) => code === "caffeine-over-limit");
  const spit = over === undefined ? null : say(t.spitLabel, over.values);
  const shown = [...cautions, t.keptText, t.phoneText, t.leaveText, spit ?? "", t.consentLabel];
  const hash = createHash("sha256")
    .update([language.tag, ...shown].join("\n"))
    .digest("hex");
  return { cautions, spit, hash };
}

function cautionText({ tag, messages }: Language, code: string): string {
  const text = messages.cautions[code];
  if (text === undefined) throw new Error(`${tag}.json has no text for the caution ${code}`);
  return text;
}
