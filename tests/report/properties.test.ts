import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import { analyse, decide } from "../../src/report/analysis.ts";
import type { EndpointFinding } from "../../src/report/endpoint-finding.ts";
import type { Evidence, UnblindedBallot, UnblindedPot } from "../../src/report/evidence.ts";
import {
  brighter,
  evidenceOf,
  extractionYield,
  pick,
  planFor,
  pots,
  scored,
  seats,
  sweetness,
  triad,
  triangle,
} from "./sessions.ts";

/** Sessions of any outcome: two coffees, two brew pairs each, one question and the yields. */
const sessions: fc.Arbitrary<Evidence> = fc
  .record({
    endpoint: fc.constantFrom<Endpoint>(triangle, brighter, sweetness),
    tasters: fc.integer({ min: 1, max: 6 }),
    answers: fc.array(fc.integer({ min: 0, max: 100 }), { minLength: 48, maxLength: 48 }),
    skipped: fc.array(fc.boolean(), { minLength: 24, maxLength: 24 }),
    yields: fc.array(fc.integer({ min: 150, max: 250 }), { minLength: 8, maxLength: 8 }),
    coffeeClaims: fc.constantFrom("after-overall" as const, "split-alpha" as const),
  })
  .map(({ endpoint, tasters, answers, skipped, yields, coffeeClaims }) => {
    const plan = planFor([endpoint, extractionYield], ["Sallow", "Petrel"], {
      tasters,
      brewPairsPerCoffee: 2,
      coffeeClaims,
    });
    const ballots = seats(tasters).flatMap((seat, t) =>
      [0, 1, 2, 3].flatMap((i) => {
        const n = 4 * t + i;
        const where = { seat, coffee: `c${Math.floor(i / 2) + 1}`, pair: (i % 2) + 1 };
        if (skipped[n]) return [];
        const [one = 0, other = 0] = [answers[2 * n], answers[2 * n + 1]];
        if (endpoint.kind === "overall-difference") return [triad(one > other, where)];
        if (endpoint.kind === "direction") return [pick(one > other ? "B" : "A", where)];
        return [scored(one, other, where)];
      }),
    );
    const logged = [0, 1, 2, 3].flatMap((i) =>
      pots({
        coffee: `c${Math.floor(i / 2) + 1}`,
        pair: (i % 2) + 1,
        yieldA: (yields[2 * i] ?? 0) / 10,
        yieldB: (yields[2 * i + 1] ?? 0) / 10,
        brewerOfA: i % 2 ? "North" : "South",
        brewerOfB: i % 2 ? "South" : "North",
      }),
    );
    return evidenceOf(plan, ballots, logged);
  });

describe("findings", () => {
  it("don't depend on the order in which ballots and pots come", () => {
    fc.assert(
      fc.property(sessions, fc.infiniteStream(fc.nat()), (evidence, stream) => {
        const shuffled = <T>(items: T[]) =>
          items
            .map((item) => ({ item, at: stream.next().value ?? 0 }))
            .sort((a, b) => a.at - b.at)
            .map(({ item }) => item);
        const other = {
          ...evidence,
          ballots: shuffled(evidence.ballots),
          pots: shuffled(evidence.pots),
        };
        expect(analyse(other)).toEqual(analyse(evidence));
      }),
      { numRuns: 60 },
    );
  });

  it("survive JSON unchanged: no NaN, no Infinity, nothing undefined", () => {
    fc.assert(
      fc.property(sessions, (evidence) => {
        const findings = analyse(evidence);
        expect(JSON.parse(JSON.stringify(findings))).toStrictEqual(findings);
      }),
      { numRuns: 60 },
    );
  });

  it("mirror when the treatments are swapped: same p and states, opposite signs", () => {
    fc.assert(
      fc.property(sessions, (evidence) => {
        const straight = decide(evidence);
        const mirrored = decide(swapped(evidence));
        expect(mirrored.headline).toBe(straight.headline);
        for (const [i, finding] of straight.endpoints.entries()) {
          expectMirrored(finding, mirrored.endpoints[i]);
        }
      }),
      { numRuns: 200 },
    );
  });

  it("never call sameness from absence: a state within the margin has its own p at most alpha", () => {
    fc.assert(
      fc.property(sessions, (evidence) => {
        for (const { state, margin } of decide(evidence).endpoints) {
          if (state !== "equivalence" && state !== "trivial-difference") continue;
          expect(margin.adjustedPValue).toBeLessThanOrEqual(0.05);
        }
      }),
      { numRuns: 200 },
    );
  });
});

function expectMirrored(finding: EndpointFinding, mirror: EndpointFinding | undefined) {
  const sign = finding.unit === "distinguishers" ? 1 : -1;
  expect(mirror?.state).toBe(finding.state);
  close(mirror?.difference.pValue, finding.difference.pValue);
  close(mirror?.margin.pValue, finding.margin.pValue);
  close(mirror?.process.pValue, finding.process.pValue);
  close(mirror?.estimate?.value, finding.estimate && sign * finding.estimate.value);
  expect(mirror?.coffees.map(({ state }) => state)).toEqual(
    finding.coffees.map(({ state }) => state),
  );
  expect(mirror?.coffees.map(({ exception }) => exception)).toEqual(
    finding.coffees.map(({ exception }) => exception),
  );
}

function close(actual: number | null | undefined, expected: number | null) {
  if (expected === null) expect(actual ?? null).toBeNull();
  else expect(Math.abs((actual ?? Number.NaN) - expected)).toBeLessThan(1e-9);
}

function swapped(evidence: Evidence): Evidence {
  return {
    ...evidence,
    ballots: evidence.ballots.map(
      (ballot): UnblindedBallot => ({ ...ballot, cups: ballot.cups.map(other) }),
    ),
    pots: evidence.pots.map((pot): UnblindedPot => other(pot)),
  };
}

function other<T extends { treatment: "A" | "B" }>(of: T): T {
  return { ...of, treatment: of.treatment === "A" ? "B" : "A" };
}
