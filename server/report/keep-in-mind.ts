import { happeningSentences } from "../../src/report/wording/happenings.ts";
import type { EndpointWords, ReportWords } from "../../src/report/wording.ts";
import type { SealedSession } from "../sealed-session.ts";
import { firstPageOf } from "./first-page.ts";

/** What a report says, as far as its first page holds it. */
interface Said {
  words: ReportWords;
  /** Under the headline. */
  verdict: readonly string[];
  /** The main question, with the rows of its plot. */
  primary: (Pick<EndpointWords, "rows" | "notes"> & { table: { name: string }[] }) | null;
  /** The session's log. */
  events: readonly { kind: string }[];
}

/** What a reader should keep in mind, most important first, parted for paper. */
export function keepInMind(
  { plan, origin }: SealedSession,
  { words, verdict, primary, events }: Said,
  { roastery }: { roastery: string },
) {
  return firstPageOf(
    {
      roastery,
      imported: origin === "imported",
      question: plan.question,
      treatments: `${plan.treatments.A.name} against ${plan.treatments.B.name}`,
      verdict,
      process: words.process,
      advice: words.advice,
      verdicts: primary?.rows ?? [],
      notes: primary?.notes ?? [],
      plotted: primary?.table.map(({ name }) => name) ?? [],
      definitive: words.definitive,
    },
    [
      ...words.conduct,
      ...words.cautions,
      ...happeningSentences(events),
      ...words.leftOut,
      "It holds for these coffees, this recipe and these people. Other coffees may behave otherwise.",
    ],
  );
}
