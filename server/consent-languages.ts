import { loadTasterLanguages } from "./taster/languages.ts";

/** The languages in which tasters may read what they agree to: tag and name. */
export function consentLanguages(): { tag: string; name: string }[] {
  return loadTasterLanguages().all.map(({ tag, messages }) => ({
    tag,
    name: messages.languageName,
  }));
}
