import { below, type RandomSource } from "../src/design/random.ts";
import type { Answers } from "../src/experiment/ballot.ts";
import type { Endpoint } from "../src/experiment/endpoint.ts";
import { normalLowerQuantile } from "../src/statistics/distributions.ts";
import { demoTruth } from "./scenario.ts";

/** What a simulated taster is served, with the truth that only the simulation knows. */
export interface ServedSet {
  coffeeId: string;
  /** The cups share a pot, so there is nothing to find. */
  samePot: boolean;
  rightCode: string | null;
  choices: readonly string[];
  /** How much more the pots of this pair lean towards B than the coffee does, on the logit scale. */
  pairLean: number;
  cups: { code: string; treatment: "A" | "B"; potLetter: string }[];
}

/** Answers of one simulated taster to one set. */
export function taste(
  questions: readonly Endpoint[],
  served: ServedSet,
  random: RandomSource,
): Answers {
  return Object.fromEntries(
    questions.map((question) => [question.id, answer(question, served, random)]),
  );
}

function answer(question: Endpoint, served: ServedSet, random: RandomSource): Answers[string] {
  switch (question.kind) {
    case "overall-difference":
    case "attribute-difference":
      return { chosen: rightPick(served, random) };
    case "direction":
      return { chosen: pick(served, truthOf(demoTruth.brighter, served.coffeeId), random) };
    case "preference":
      return { chosen: pick(served, 0.2, random) };
    case "attribute-score":
      return { scores: scores(served, random) };
    case "extraction-yield":
      throw new Error("Tasters don't answer for the extraction yield");
  }
}

function rightPick(served: ServedSet, random: RandomSource): string {
  const tells = uniform(random) < truthOf(demoTruth.detectors, served.coffeeId);
  if (tells && !served.samePot && served.rightCode !== null) return served.rightCode;
  return anyOf(served.choices, random);
}

function pick(served: ServedSet, lean: number, random: RandomSource): string {
  const b = served.cups.find((cup) => cup.treatment === "B");
  const a = served.cups.find((cup) => cup.treatment === "A");
  if (a === undefined || b === undefined) return anyOf(served.choices, random);
  const logit = lean + served.pairLean;
  return uniform(random) < 1 / (1 + Math.exp(-logit)) ? b.code : a.code;
}

function scores(served: ServedSet, random: RandomSource): Record<string, number> {
  const own = 48 + 10 * normal(random);
  const effect = truthOf(demoTruth.sweeter, served.coffeeId);
  return Object.fromEntries(
    served.cups.map((cup) => {
      const mean = own + (cup.treatment === "B" ? effect : 0);
      return [cup.code, Math.round(Math.min(100, Math.max(0, mean + 7 * normal(random))))];
    }),
  );
}

function anyOf(codes: readonly string[], random: RandomSource): string {
  const code = codes[below(random, codes.length)];
  if (code === undefined) throw new Error("A set has cups");
  return code;
}

/** A simulated number by coffee; coffees that the scenario doesn't know have no effect. */
export function truthOf(truth: Readonly<Record<string, number>>, coffeeId: string): number {
  return truth[coffeeId] ?? 0;
}

/** A number between 0 and 1, neither included. */
function uniform(random: RandomSource): number {
  return (below(random, 2 ** 30) + 0.5) / 2 ** 30;
}

/** A draw from the standard normal distribution, by inversion. */
export function normal(random: RandomSource): number {
  return normalLowerQuantile(uniform(random));
}
