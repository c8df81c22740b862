import { firstPlace } from "../../experiment/ballot.ts";
import type { SetKind, Treatment } from "../../experiment/endpoint.ts";
import type { BrewFinding } from "../brew-yields.ts";
import type { BrewerFinding, ConductFinding, PositionFinding } from "../checks.ts";
import type { Headline, LeftOutFinding } from "../findings.ts";
import { headlineWords } from "./headlines.ts";
import { counted, listed, timesByLuck } from "./numbers.ts";

/** How blind the session was, and what came in of what was planned. */
export function conductSentences(conduct: ConductFinding): string[] {
  return [blinding(conduct), ...openings(conduct), ...arrivals(conduct)];
}

function blinding({ blinding, leadSawSheets }: ConductFinding): string {
  switch (blinding) {
    case "double-blind":
      return "Double-blind: nobody who ran the session or tasted is known to have seen the key.";
    case "single-blind":
      return `Single-blind: whoever ran the session had opened the ${listed([...new Set(leadSawSheets.map(({ sheet }) => sheet.replace("-", " ")))])}; no taster is known to have.`;
    case "not-blinded-here":
      return "Not blinded here: an outside panel gave these answers. How its cups were coded, ordered and served, and who knew what, is not known to this program, and nothing was sealed before the first cup.";
    case "broken":
      return "Not blind to the end: the key was opened while people were still tasting.";
  }
}

function openings({ openedEarly }: ConductFinding): string[] {
  return openedEarly.map(
    ({ at, reason, answersAfter }) =>
      `The key was opened before closing, at ${at.slice(0, 16).replace("T", " ")} UTC (${reason}); ${counted(answersAfter, "answer")} came after it.`,
  );
}

function arrivals(conduct: ConductFinding): string[] {
  const { ballotsExpected, ballotsReceived, brewPairsPlanned, brewPairsRejected } = conduct;
  const { seatsStarted } = conduct;
  const sentences: string[] = [];
  if (ballotsReceived < ballotsExpected) {
    sentences.push(
      `${counted(ballotsReceived, "answer")} came in for the ${counted(ballotsExpected, "set")} of ${counted(seatsStarted, "seat")} taken, leavers included; nothing is filled in for the rest.`,
    );
  }
  if (brewPairsRejected > 0) {
    sentences.push(
      `${counted(brewPairsRejected, "brew pair")} of ${brewPairsPlanned} ${brewPairsRejected === 1 ? "was" : "were"} rejected for how they were brewed, never for yield or taste.`,
    );
  }
  return sentences;
}

/** Pots that broke a sealed limit and were counted all the same, and pairs that nobody logged. */
export function brewSentences(
  brews: readonly BrewFinding[],
  conduct: Pick<ConductFinding, "brewPairsPlanned" | "brewPairsLogged">,
): string[] {
  const kept = brews.filter((brew) => !brew.rejected && brew.outsideLimits.length > 0);
  const missing = conduct.brewPairsPlanned - conduct.brewPairsLogged;
  const broke = kept.map((brew) => `pot ${brew.potLetter} (${brew.outsideLimits.join(", ")})`);
  return [
    ...(kept.length === 0
      ? []
      : [
          `Against the sealed plan, ${counted(kept.length, "pot")} outside its limits ${kept.length === 1 ? "was" : "were"} not rejected and ${kept.length === 1 ? "counts" : "count"}: ${listed(broke)}.`,
        ]),
    ...(missing <= 0
      ? []
      : [
          `${counted(missing, "brew pair")} of ${conduct.brewPairsPlanned} ${missing === 1 ? "was" : "were"} not logged, so nobody can check how ${missing === 1 ? "it was" : "they were"} brewed.`,
        ]),
  ];
}

/** What hidden control pairs leave open when there were none. */
export function noControlsSentence(): string {
  return "No hidden control pair was served, so nobody knows how often this panel finds a difference between equal cups.";
}

/** A position picked beyond luck, and tasters who never left one, each under its question. */
export function positionSentences(position: PositionFinding, question: string): string[] {
  const answers = position.counts.reduce((sum, count) => sum + count, 0);
  const most = Math.max(...position.counts);
  const place = placeWords(position.counts.indexOf(most) + firstPlace(position.set));
  const picked = pickedIn(position.set);
  const uneven = position.biased
    ? [
        `The ${place} cup was ${picked} ${most} of ${answers} times; luck alone would be this uneven ${timesByLuck(position.pValue ?? 1)}.`,
      ]
    : [];
  const always = position.alwaysSame.map(
    (taster) =>
      `With one taster the ${placeWords(taster.position)} cup was ${picked} ${taster.answers} of ${taster.answers} times; luck would bring that to anyone on the panel ${timesByLuck(taster.pValue)}. Their answers count.`,
  );
  return [...uneven, ...always].map((sentence) => `${question} ${sentence}`);
}

const placeWords = (position: number) =>
  ["first", "second", "third", "fourth"][position - 1] ?? "last";

/** A tetrad's groups are told by the cup that goes with the first one. */
const pickedIn = (set: SetKind) => (set === "tetrad" ? "put with the first" : "picked");

/** What brewers did, where it is no fault but worth knowing. */
export function brewerSentences(
  finding: BrewerFinding,
  names: Record<Treatment, string>,
  alpha: number,
): string[] {
  const { swapped, brewers, pValue, differBy } = finding;
  if (swapped === "not-swapped" && differBy === null) {
    const whose = brewers.map(
      ({ brewer, potsOfA, potsOfB }) =>
        `${brewer} brewed ${potsOfA} of ${names.A} and ${potsOfB} of ${names.B}`,
    );
    return [`Brewers were not swapped evenly: ${listed(whose)}.`];
  }
  if (pValue !== null && pValue <= alpha) {
    return [
      `One brewer's pots came out differently whatever they held; luck alone would do that ${timesByLuck(pValue)}. Treatments were swapped, so it doesn't carry the result.`,
    ];
  }
  return [];
}

/** What was left out, and whether it would change the headline. */
export function leftOutSentences(leftOut: LeftOutFinding, headline: Headline): string[] {
  const { ballots, rejectedPairs, repeated } = leftOut;
  if (!repeated) return [];
  const answers = ballots.map(({ reason, count }) => `${counted(count, "answer")} (${reason})`);
  const pairs = rejectedPairs.length > 0 ? [counted(rejectedPairs.length, "brew pair")] : [];
  const then =
    repeated.headline === headline
      ? "the headline would be the same"
      : `the headline would be "${headlineWords[repeated.headline]}"`;
  return [`Left out: ${listed([...answers, ...pairs])}. With all of it put back ${then}.`];
}

/** That a limit rests on tasters' means. */
export function approximateSentence(): string {
  return "Tasters answered more than once on a coffee, so the limit is worked out over tasters and is approximate.";
}
