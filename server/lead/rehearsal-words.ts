import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import type { Scenario } from "../../src/rehearsal/scenarios.ts";
import { rateOf, type Tally } from "../../src/rehearsal/tally.ts";
import { headlineWords } from "../../src/report/wording/headlines.ts";
import { counted, marginText, questionName, roleName } from "./plan-words.ts";
import { mainOf } from "./rehearsal-form.ts";

/** A rehearsal's results in words and numbers, a part for each row. */
export interface RehearsalRow {
  name: Scenario["name"];
  title: string;
  sentence: string;
  lines: RehearsalLine[];
  others: { question: string; role: string; shown: string; close: string; process: string }[];
}

export interface RehearsalLine {
  says: string;
  /** `73`, `under 1`; out of 100. */
  times: string;
  /** Bar length out of 100. */
  length: number;
  kind: "headline" | "process";
}

const headlines = [
  "different",
  "different-for-some",
  "close-enough",
  "not-settled",
  "not-sound",
] as const;

/** One row in words: what would be true, and how often the report would then say what. */
export function rehearsalRow(plan: Plan, tally: Tally): RehearsalRow {
  const { panels } = tally;
  const main = ofEndpoint(tally, mainOf(plan).id);
  const line = (says: string, hits: number, kind: RehearsalLine["kind"]) => ({
    says,
    times: timesInHundred(hits, panels),
    length: Math.round(1000 * rateOf(hits, panels).rate) / 10,
    kind,
  });
  return {
    name: tally.scenario,
    title: titleOf(plan, tally.scenario),
    sentence: sentenceOf(plan, tally),
    lines: [
      ...headlines.map((name) => line(headlineWords[name], tally.headlines[name], "headline")),
      line("The treatment matters beyond these pots", main.processShown, "process"),
    ],
    others: plan.endpoints
      .filter(({ role }) => role !== "primary")
      .map((endpoint) => {
        const { states, processShown } = ofEndpoint(tally, endpoint.id);
        return {
          question: questionName(endpoint),
          role: roleName(endpoint.role),
          shown: timesInHundred(states.difference + states["trivial-difference"], panels),
          close: timesInHundred(states.equivalence + states["trivial-difference"], panels),
          process: timesInHundred(processShown, panels),
        };
      }),
  };
}

function ofEndpoint(tally: Tally, endpointId: string): Tally["endpoints"][number] {
  const found = tally.endpoints.find((one) => one.endpointId === endpointId);
  if (!found) throw new Error(`The rehearsal lacks endpoint ${endpointId}`);
  return found;
}

function titleOf(plan: Plan, scenario: Tally["scenario"]): string {
  switch (scenario) {
    case "identical":
      return "Nothing differs";
    case "only-pots-differ":
      return "The treatment does nothing, pots differ by themselves";
    case "at-the-margin":
      return `A difference just at your margin (${marginText(mainOf(plan))})`;
    case "as-expected":
      return "The difference you expect";
    case "one-coffee-opposite":
      return mainOf(plan).kind === "overall-difference"
        ? `The difference you expect, but none on ${lastCoffee(plan)}`
        : `The difference you expect, but the other way on ${lastCoffee(plan)}`;
  }
}

function sentenceOf(plan: Plan, tally: Tally): string {
  const { headlines: said, panels, scenario } = tally;
  const different = inHundred(said.different + said["different-for-some"], panels);
  const process = inHundred(ofEndpoint(tally, mainOf(plan).id).processShown, panels);
  const close = inHundred(said["close-enough"], panels);
  switch (scenario) {
    case "identical":
      return `If nothing differs, this plan would say “different” ${different}, and “close enough” ${close}.`;
    case "only-pots-differ":
      return `If only the pots differ, it would say “different” ${different}: those cups do differ, though not by the treatment. It would claim that the treatment matters ${process}.`;
    case "at-the-margin":
      return `If the difference is just as large as your margin, it would be called “close enough” ${close}.`;
    case "as-expected":
      return `If the change does what you expect, this plan would say “different” ${different}, and could say that the treatment matters ${process}.`;
    case "one-coffee-opposite":
      return `With ${lastCoffee(plan)} apart from the others, it would say “different for some coffees” ${inHundred(said["different-for-some"], panels)}.`;
  }
}

const lastCoffee = (plan: Plan) => coffeeName(plan, plan.coffees.at(-1)?.id ?? "");

function inHundred(hits: number, panels: number): string {
  return `${timesInHundred(hits, panels)} ${hits > 0 && Math.round((100 * hits) / panels) === 1 ? "time" : "times"} in 100`;
}

/** `73`; never a certainty that so few panels can't give. */
function timesInHundred(hits: number, panels: number): string {
  const { rate } = rateOf(hits, panels);
  if (rate < 0.005) return "under 1";
  if (rate > 0.995) return "over 99";
  return String(Math.round(100 * rate));
}

/** How sure the numbers are: twice the largest standard error, which bounds 95 of 100 of them. */
export function surenessWords(tallies: readonly Tally[]): string {
  const panels = Math.min(...tallies.map((tally) => tally.panels));
  const largest = Math.max(
    ...tallies.flatMap((tally) =>
      Object.values(tally.headlines).map((hits) => rateOf(hits, tally.panels).standardError),
    ),
  );
  return `Played ${counted(panels, "panel")} a row: the numbers are sure to about ${Math.max(1, Math.ceil(200 * largest))} in 100.`;
}
