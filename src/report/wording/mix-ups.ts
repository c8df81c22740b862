import type { Findings, MixUpFinding, MixUpReading } from "../findings.ts";
import { headlineWords } from "./headlines.ts";
import { counted, listed } from "./numbers.ts";
import { sentence } from "./sentence.ts";

const readingWords: Record<MixUpReading, string> = {
  "as-scored": "as scored under the sealed key",
  corrected: "with the exchanged codes corrected",
  voided: "with the set voided",
};

/** How mixed-up sets were read: what each reading gives on the main question, and which one leads. */
export function mixUpSentences({
  mixUps,
  primaryId,
}: Pick<Findings, "mixUps" | "primaryId">): string[] {
  if (mixUps === null) return [];
  const { sets, leads } = mixUps;
  const readings = mixUps.readings.map((reading) => readingSentence(reading, primaryId));
  return [
    `${counted(sets, "set")} ${sets === 1 ? "had two cups" : "had cups"} exchanged, noticed before the key was opened. The session was analysed three times, and the weakest leads: ${readingWords[leads]}.`,
    sentence(listed(readings)),
  ];
}

function readingSentence(
  { reading, headline, endpoints }: MixUpFinding["readings"][number],
  primaryId: string,
): string {
  const primary = endpoints.find(({ endpointId }) => endpointId === primaryId);
  const found = primary === undefined ? "" : countsText(primary);
  return `${readingWords[reading]}: “${headlineWords[headline]}”${found}`;
}

function countsText({
  counts,
  pValue,
}: MixUpFinding["readings"][number]["endpoints"][number]): string {
  const { answers, correct, pickedB } = counts;
  const of = correct ?? pickedB;
  const p = pValue === null ? "" : `, p = ${pValue.toFixed(3)}`;
  return of === null ? ` (${counted(answers, "answer")}${p})` : ` (${of} of ${answers}${p})`;
}
