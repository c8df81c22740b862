import { expect, test } from "vitest";
import type { Cup, Kit, Presentation, SetRequest } from "../../src/design/kit.ts";
import { binomialUpperTail } from "../../src/statistics/distributions.ts";
import { kitFor, plainInput } from "./kits.ts";

const SESSIONS = 500;

/** What a taster sees of a cup, in all the ways in which it might betray the treatment. */
function traits(presentation: Presentation, cup: Cup): string[] {
  const [hundreds = "", tens = "", ones = ""] = cup.code;
  const rank = presentation.cups.filter((other) => other.code < cup.code).length;
  return [
    `hundreds ${hundreds}`,
    `tens ${tens}`,
    `ones ${ones}`,
    `rank ${rank}`,
    `position ${cup.position}`,
    `coffee ${presentation.coffeeId}`,
    `ordinal ${presentation.ordinal}`,
  ];
}

/** Log odds of treatment A for every trait seen in the training sessions (naive Bayes, one added to each count). */
function train(kits: readonly Kit[]): Map<string, number> {
  const counts = new Map<string, { A: number; B: number }>();
  for (const presentation of kits.flatMap((kit) => kit.seats.flatMap((s) => s.presentations))) {
    for (const cup of presentation.cups) {
      for (const trait of traits(presentation, cup)) {
        const count = counts.get(trait) ?? { A: 1, B: 1 };
        count[cup.treatment] += 1;
        counts.set(trait, count);
      }
    }
  }
  return new Map([...counts].map(([trait, { A, B }]) => [trait, Math.log(A / B)]));
}

/** How many of the sessions' first cups the classifier gets right: one a session, so that trials are independent. */
function rightCalls(kits: readonly Kit[], logOdds: ReadonlyMap<string, number>): number {
  return kits.filter((kit, at) => {
    const { presentations } = kit.seats[at % kit.seats.length] ?? { presentations: [] };
    const [presentation] = presentations;
    const [cup] = presentation?.cups ?? [];
    if (presentation === undefined || cup === undefined) throw new Error("an empty seat");
    const own = traits(presentation, cup).map((trait) => logOdds.get(trait) ?? 0);
    const calledA = own.reduce((sum, odds) => sum + odds, 0) > 0;
    return calledA === (cup.treatment === "A");
  }).length;
}

/** Chance of at least so many right calls by tossing a coin. */
function luck(kits: readonly Kit[]): number {
  const half = kits.length / 2;
  const right = rightCalls(kits.slice(half), train(kits.slice(0, half)));
  return binomialUpperTail(right, half, 0.5);
}

/** The same kit with codes that give the treatment away: even for A, odd for B. */
function leaking(kit: Kit): Kit {
  const betray = (cup: Cup): Cup => {
    const even = cup.code.slice(0, 2) + String(2 * Math.floor(Number(cup.code[2]) / 2));
    return { ...cup, code: cup.treatment === "A" ? even : String(Number(even) + 1) };
  };
  const seats = kit.seats.map((seat) => ({
    ...seat,
    presentations: seat.presentations.map((own) => ({ ...own, cups: own.cups.map(betray) })),
  }));
  return { ...kit, seats };
}

// A 3-AFC and a duo-trio with a constant reference hold one treatment more often by design: there
// the cups as a whole are known to the plan, and only equal responses (tests/server) can be shown.
test.each<SetRequest>([
  { kind: "triangle" },
  { kind: "duo-trio", reference: "balanced" },
  { kind: "tetrad" },
  { kind: "ab" },
])(
  "nothing about a cup that a taster sees tells its treatment, and a planted leak is caught: $kind",
  (set) => {
    const input = { ...plainInput, sets: [set], seats: 6 };
    const kits = Array.from({ length: SESSIONS }, (_, at) => kitFor(input, `leak ${at}`));
    expect(luck(kits)).toBeGreaterThan(0.001);
    expect(luck(kits.map(leaking))).toBeLessThan(0.001);
  },
);
