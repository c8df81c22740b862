import type { WhatWouldDecide } from "../endpoint-finding.ts";
import type { SampleFacts } from "./facts.ts";
import { marginWords } from "./margin.ts";
import { counted, howOften } from "./numbers.ts";

/** What would make it definitive, with numbers; only what is still missing. */
export function decideSentences(
  needs: WhatWouldDecide | null,
  facts: Pick<SampleFacts, "kind" | "margin">,
  open: { cups: boolean; process: boolean; withoutControlPairs: boolean },
): string[] {
  if (!needs) return [];
  const often = howOften(needs.power);
  const size = `a difference as large as the margin (${marginWords(facts)})`;
  const sentences: (string | null)[] = [];
  if (open.cups) {
    sentences.push(
      more(needs.moreTastersToFind, "taster", `${size} would be found ${often}`),
      more(needs.moreTastersToPass, "taster", `cups that are truly the same would pass ${often}`),
      more(needs.moreBrewPairsToPass, "brew pair", `equal yields would pass ${often}`),
    );
  }
  if (open.process) {
    sentences.push(
      open.withoutControlPairs ? NEEDS_CONTROL_PAIRS : null,
      atLeast(needs.moreBrewPairsForAnyClaim),
      more(
        needs.moreBrewPairsToFind,
        "brew pair",
        `${size} would be shown beyond these pots ${often}`,
      ),
    );
  }
  const said = sentences.filter((sentence) => sentence !== null);
  return said.length > 0 || !open.cups ? said : [FELL_BETWEEN];
}

const NEEDS_CONTROL_PAIRS =
  "It takes hidden pairs of pots brewed alike in the plan, at least one a coffee, before anything can be said beyond these pots.";

const FELL_BETWEEN =
  "The session was large enough to decide most cases; this one fell between different and close enough, so only another session tells.";

function more(count: number | null, what: string, then: string): string | null {
  return count ? `With ${counted(count, `more ${what}`)}, ${then}.` : null;
}

function atLeast(pairs: number | null): string | null {
  return pairs
    ? `It takes at least ${counted(pairs, "more brew pair")} before anything can be said beyond these pots.`
    : null;
}
