import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { templatesFolder } from "../render.ts";
import { type Messages, messagesSchema } from "./messages.ts";

/** A language of the taster's pages: its tag (`en`) and all its texts. */
export interface Language {
  tag: string;
  messages: Messages;
}

export interface Languages {
  all: readonly Language[];
  /** The language of a tag, or else the first that a browser's Accept-Language header names, or English. */
  choose(tag: unknown, acceptLanguage?: string): Language;
}

/** The languages that this program comes with. */
export function loadTasterLanguages(): Languages {
  return loadLanguages(`${templatesFolder}/taster/messages`);
}

/**
 * Reads every message file (`<tag>.json`) of a folder: one more file is one more language. A file
 * that lacks a text, or has one too many, stops the start and is named.
 */
export function loadLanguages(folder: string): Languages {
  const files = readdirSync(folder).filter((file) => file.endsWith(".json"));
  const all = files.toSorted().map((file) => readLanguage(folder, file));
  const byTag = new Map(all.map((language) => [language.tag, language]));
  const english = byTag.get("en");
  if (english === undefined) throw new Error(`${folder} has no en.json`);
  return {
    all,
    choose: (tag, acceptLanguage = "") => {
      const wanted = [tag, ...tagsIn(acceptLanguage)].map((one) => byTag.get(String(one)));
      return wanted.find((language) => language !== undefined) ?? english;
    },
  };
}

function readLanguage(folder: string, file: string): Language {
  const parsed = messagesSchema.safeParse(JSON.parse(readFileSync(join(folder, file), "utf8")));
  if (parsed.success) return { tag: file.replace(/\.json$/, ""), messages: parsed.data };
  const complaints = parsed.error.issues.map(
    ({ path, message }) => `${path.join(".")}: ${message}`,
  );
  throw new Error(`${file} is no complete language: ${complaints.join("; ")}`);
}

/** Language tags in a browser's order of wish, without region. */
function tagsIn(acceptLanguage: string): string[] {
  return acceptLanguage
    .split(",")
    .map((part) => {
      const [tag = "", quality = ""] = part.trim().split(";q=");
      const weight = Number(quality);
      return {
        tag: tag.trim().split("-")[0]?.toLowerCase() ?? "",
        weight: quality === "" || Number.isNaN(weight) ? 1 : weight,
      };
    })
    .toSorted((left, right) => right.weight - left.weight)
    .map(({ tag }) => tag);
}
