import type { PositionFinding } from "../checks.ts";
import type { EndpointFinding } from "../endpoint-finding.ts";
import type { PanelQuality, RepeatFinding, RestFinding, TimeFinding } from "../panel-quality.ts";
import { counted, grouped } from "./numbers.ts";
import { questionWords } from "./questions.ts";

/** How the panel answered, whatever the cups held: time, rest, repeats, and places at the table. */
export function panelSentences(
  panel: PanelQuality,
  positions: readonly PositionFinding[],
  endpoints: readonly EndpointFinding[],
): string[] {
  return [
    ...(panel.time === null ? [] : timeSentences(panel.time)),
    ...(panel.rest === null ? [] : [restSentence(panel.rest)]),
    ...repeats(panel.repeats, endpoints),
    ...(positions.length === 0 ? [] : [placeSentence(positions)]),
  ];
}

function timeSentences(time: TimeFinding): string[] {
  const { ballots, medianSeconds, lowerQuartileSeconds, upperQuartileSeconds, quickest } = time;
  const spread = `half of them between ${seconds(lowerQuartileSeconds)} and ${seconds(upperQuartileSeconds)}`;
  return [
    `A set was on the screen for ${seconds(medianSeconds)} at the median, ${spread} (${counted(ballots, "ballot")} with a time). The quickest taster took ${seconds(quickest.medianSeconds)}, over ${counted(quickest.ballots, "ballot")}.`,
  ];
}

function restSentence({
  plannedSeconds,
  ballots,
  notKnown,
  medianSeconds,
  shorter,
}: RestFinding): string {
  const asked = `The plan asks for ${seconds(plannedSeconds)} of rest between sets`;
  if (medianSeconds === null) {
    return `${asked}; how long tasters rested is not known, since no phone counted it.`;
  }
  const unknown =
    notKnown === 0 ? "" : ` For ${counted(notKnown, "later ballot")} no rest is known.`;
  return `${asked}: ${grouped(shorter)} of ${counted(ballots, "ballot")} with a known rest came after less; the median was ${seconds(medianSeconds)}.${unknown}`;
}

const seconds = (value: number) => `${Math.round(value)} s`;

function repeats(found: readonly RepeatFinding[], endpoints: readonly EndpointFinding[]): string[] {
  if (found.length === 0) {
    return [
      "Nobody answered twice about the same two pots, so nothing says how steady a taster is.",
    ];
  }
  return found.map((repeat) => {
    const endpoint = endpoints.find(({ endpointId }) => endpointId === repeat.endpointId);
    const question = endpoint === undefined ? "" : `${questionWords(endpoint)} `;
    return `${question}${repeatSentence(repeat)}`;
  });
}

function repeatSentence(repeat: RepeatFinding): string {
  const { compared, tasters, agreed, agreedByGuessing, meanAbsoluteChange } = repeat;
  const whose = `${counted(tasters, "taster")} answered again about the same two pots`;
  if (meanAbsoluteChange !== null) {
    return `${whose}: the scored difference moved by ${meanAbsoluteChange.toFixed(1)} points on average, over ${counted(compared, "repeat")}.`;
  }
  return `${whose}: ${agreed ?? 0} of ${counted(compared, "repeat")} agreed with the answer before; if everyone guessed, ${Math.round(agreedByGuessing ?? 0)} would.`;
}

function placeSentence(positions: readonly PositionFinding[]): string {
  const always = positions.reduce((sum, { alwaysSame }) => sum + alwaysSame.length, 0);
  return always === 0
    ? "Nobody stayed at one place oftener than luck brings to anyone on a panel."
    : `${counted(always, "taster")} stayed at one place oftener than luck brings to anyone on a panel; their answers count.`;
}
