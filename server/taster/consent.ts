import { createHash } from "node:crypto";
import { notices } from "../../src/safety/notices.ts";
import type { SittingFacts } from "../store/blind.ts";
import type { Language } from "./languages.ts";
import { say } from "./messages.ts";

const DECLARED = "allergens-declared";

/** What a taster agrees to, in one language. */
export interface Consent {
  /** The declared allergens, to be read before all else; null when none is declared. */
  allergens: string | null;
  cautions: string[];
  /** What the lead adds, in this language or else in any; null when nothing is added. */
  note: string | null;
  /** What is kept, and until when. */
  kept: string[];
  /** Asks to promise to spit: swallowing every cup would be too much caffeine. Null when it wouldn't. */
  spit: string | null;
  /** SHA-256 of all that was shown, to be kept with the consent. */
  hash: string;
}

/**
 * The consent for a sitting: every caution that applies to anyone's cups, whatever they hold, and
 * what the lead adds. `retentionDays` is how long names are kept after the key is opened; 0 is for ever.
 */
export function consentFor(
  facts: SittingFacts,
  language: Language,
  retentionDays: number,
): Consent {
  const t = language.messages;
  const found = notices({
    cups: facts.cups,
    millilitresPerCup: facts.millilitresPerCup,
    servingTemperature: facts.servingTemperatureCelsius,
    substances: facts.substances,
    allergens: facts.allergens,
  }).filter((notice) => notice.audience.includes("taster"));
  // A plan names what is added, not how much of which ion, so anything added asks for this caution.
  const minerals =
    facts.substances.length > 0 ? [cautionText(language, "minerals-kidney-heart")] : [];
  const worded = found.map(({ code, values }) => ({
    code,
    text: say(cautionText(language, code), values),
  }));
  const allergens = worded.find(({ code }) => code === DECLARED)?.text ?? null;
  const others = worded.filter(({ code }) => code !== DECLARED).map(({ text }) => text);
  const cautions = [...minerals, ...others];
  const over = found.find(({ code }) => code === "caffeine-over-limit");
  const spit = over === undefined ? null : say(t.spitLabel, over.values);
  const note = facts.consentNotes[language.tag] ?? Object.values(facts.consentNotes)[0] ?? null;
  const until = retentionDays > 0 ? say(t.keptDays, { days: retentionDays }) : t.keptUntilErased;
  const kept = [t.keptText, until, t.phoneText, t.leaveText];
  const shown = [
    ...(allergens === null ? [] : [allergens]),
    note ?? "",
    ...cautions,
    ...kept,
    spit ?? "",
    t.consentLabel,
  ];
  const hash = createHash("sha256")
    .update([language.tag, ...shown].join("\n"))
    .digest("hex");
  return { allergens, cautions, note, kept, spit, hash };
}

function cautionText({ tag, messages }: Language, code: string): string {
  const text = messages.cautions[code];
  if (text === undefined) throw new Error(`${tag}.json has no text for the caution ${code}`);
  return text;
}
