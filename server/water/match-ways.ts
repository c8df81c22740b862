import type { Match } from "../../src/water/matching.ts";
import type { Mismatch } from "../../src/water/mismatch.ts";
import type { MatchWay } from "../../src/water/time-list.ts";
import { judged, percent, verdictWords } from "./match-findings.ts";
import type { MatchRequest } from "./match-plan.ts";

export interface WayRow {
  name: string;
  explanation: string;
  expanded: string;
  verdict: string;
  chosen: boolean;
}

const wayWords: Readonly<Record<MatchWay, { name: string; explanation: string }>> = {
  "one-stock": {
    name: "One stock for both arms",
    explanation:
      "The bottles that dose the coffee also make the brew water, so an error of weighing, hydrate or purity moves both cups alike and cancels.",
  },
  "double-dummy": {
    name: "Double dummy",
    explanation:
      "Both arms heat plain base water and get two additions, one after heating and one after brewing; one is stock, the other as much base water. The handler can't tell which, the kettle never sees minerals, and its loss drops out.",
  },
  weighed: {
    name: "Salts weighed for each arm",
    explanation:
      "Brew water and stock are weighed apart, so that each has its own errors. Needed when the arms get different minerals.",
  },
};

/** The ways of making the waters, side by side. */
export function wayRows(request: MatchRequest, match: Match): WayRow[] {
  const found: [MatchWay, Mismatch | undefined][] = [
    ["one-stock", match.oneStock?.mismatch],
    ["double-dummy", match.doubleDummy?.mismatch],
    ["weighed", match.mismatch],
  ];
  return found.flatMap(([way, result]) => {
    if (result === undefined) return [];
    const agreement = judged(request, result);
    return {
      ...wayWords[way],
      expanded: percent(agreement.expandedUncertaintyPercent),
      verdict: verdictWords[agreement.verdict],
      chosen: way === request.way,
    };
  });
}
