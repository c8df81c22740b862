import { z } from "zod";
import { plainName } from "./typed-name.ts";

/** The lead's own words in another language, by the word as the plan writes it. */
const wordsSchema = z.record(
  z.string().trim().min(1),
  z
    .string()
    .trim()
    .min(1, "Write the word after the equals sign")
    .max(80, "Keep it under 80 characters"),
  "Write one a line: the word as above, an equals sign, the word in this language",
);

/** The same for each language, by its tag. */
export const translationsSchema = z.record(
  z.string().regex(/^[a-z]{2,3}(-[a-z0-9]+)*$/i),
  wordsSchema,
);
export type Translations = z.infer<typeof translationsSchema>;

/** What tasters read of a plan in the lead's own words. */
interface TasterWords {
  endpoints: readonly object[];
  substances: readonly string[];
  allergens?: readonly string[] | undefined;
}

const WORDS_OF_AN_ENDPOINT = ["attribute", "lowAnchor", "highAnchor"];

/** Every word of a plan that can be translated: of questions, scales, substances and allergens. */
export function wordsToTranslate({ endpoints, substances, allergens = [] }: TasterWords): string[] {
  const asked = endpoints.flatMap((endpoint) =>
    Object.entries(endpoint).flatMap(([name, word]) =>
      WORDS_OF_AN_ENDPOINT.includes(name) && typeof word === "string" ? [word] : [],
    ),
  );
  return [...new Set([...asked, ...substances, ...allergens])];
}

/** Translations of words that the plan doesn't use: a typing mistake, or a word that was changed. */
export function unknownWords(
  translations: Translations,
  words: TasterWords,
): { language: string; word: string }[] {
  const known = new Set(wordsToTranslate(words).map(plainName));
  return Object.entries(translations).flatMap(([language, own]) =>
    Object.keys(own).flatMap((word) => (known.has(plainName(word)) ? [] : [{ language, word }])),
  );
}

/** A word in a language; as the plan writes it where nothing is given. */
export function translated(
  translations: Translations,
  language: string | null,
  word: string,
): string {
  const own = Object.entries((language && translations[language]) || {});
  return own.find(([known]) => plainName(known) === plainName(word))?.[1] ?? word;
}
