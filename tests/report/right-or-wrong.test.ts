import { describe, expect, it } from "vitest";
import type { RightOrWrongEndpoint } from "../../src/experiment/endpoint.ts";
import { analyse } from "../../src/report/analysis.ts";
import { withCodesExchanged } from "../../src/report/mix-ups.ts";
import { observe } from "../../src/report/observations.ts";
import { wordReport } from "../../src/report/wording.ts";
import {
  answered,
  brightest,
  duoTrio,
  evidenceOf,
  planFor,
  seats,
  tetrad,
  triangle,
} from "./sessions.ts";

/** A session of one coffee where the first `right` of `tasters` are right. */
function session(endpoint: RightOrWrongEndpoint, right: number, tasters: number) {
  const ballots = seats(tasters).map((seat, i) => answered(endpoint, i < right, { seat }));
  return evidenceOf(planFor([endpoint], ["Bramble"], { tasters }), ballots);
}

const primaryOf = (evidence: ReturnType<typeof session>) => {
  const [endpoint] = analyse(evidence).endpoints;
  if (!endpoint) throw new Error("A plan has an endpoint");
  return endpoint;
};

// R 4.2: binom.test(right, 24, guessing, alternative = "greater")$p.value. The critical counts, 13 and
// 17 of 24 at 5 %, are those of the tables in ISO 4120 and ISO 10399 (from memory).
describe("A session by each method", () => {
  it.each([
    { endpoint: triangle, right: 13, pValue: 0.0284411280954688, critical: 13, pd: 0.3125 },
    { endpoint: duoTrio, right: 17, pValue: 0.0319573283195496, critical: 17, pd: 5 / 12 },
    { endpoint: tetrad, right: 13, pValue: 0.0284411280954688, critical: 13, pd: 0.3125 },
    { endpoint: brightest, right: 13, pValue: 0.0284411280954688, critical: 13, pd: 0.3125 },
  ])(
    "$right right of 24 by $endpoint.kind, $endpoint.method: p and critical count of the tables",
    ({ endpoint, right, pValue, critical, pd }) => {
      const { counts, difference, estimate, state, unit } = primaryOf(session(endpoint, right, 24));
      expect(unit).toBe(endpoint === brightest ? "lean-of-three" : "distinguishers");
      expect(counts).toMatchObject({ answers: 24, correct: right });
      expect(difference.pValue).toBeCloseTo(pValue, 13);
      expect(difference.criticalCount).toBe(critical);
      expect(difference.sides).toBe("one");
      expect(estimate?.value).toBeCloseTo(pd, 13);
      expect(state).toBe("difference");
      expect(primaryOf(session(endpoint, right - 1, 24)).state).toBe("inconclusive");
    },
  );

  it.each([
    [duoTrio, "Different", "people can tell Tank and Pot apart: 17 of 24 matched the reference"],
    [tetrad, "Different", "people can tell Tank and Pot apart: 17 of 24 made the right groups"],
    [brightest, "Different", "Pot has more brightness: it was picked out of three 17 of 24 times"],
  ])("says in words what $kind, $method found", (endpoint, headline, verdict) => {
    const evidence = session(endpoint, 17, 24);
    const words = wordReport(analyse(evidence), evidence.plan);
    expect(words.headline).toBe(headline);
    expect(words.verdict.join(" ").toLowerCase()).toContain(verdict.toLowerCase());
  });

  it("asks for hidden pairs of pots brewed alike before anything is rolled out", () => {
    const evidence = session(tetrad, 17, 24);
    const { advice, definitive } = wordReport(analyse(evidence), evidence.plan);
    expect(advice).toContain("with hidden pairs of pots brewed alike");
    expect(definitive.join(" ")).toContain("It takes hidden pairs of pots brewed alike");
  });

  it("says that 3-AFC picks fell short of luck where the single cup had less", () => {
    const evidence = session(brightest, 3, 24);
    const [verdict] = wordReport(analyse(evidence), evidence.plan).verdict;
    expect(verdict).toContain("Pot was picked out of three 3 of 24 times");
    expect(verdict).toContain("it leaned against what was expected");
  });
});

describe("The two sides of a 3-AFC", () => {
  const three = ["Sallow", "Bramble", "Cinder"];
  const onThree = (endpoint: typeof brightest | BrightestA, right: readonly number[]) => {
    const ballots = seats(20).flatMap((seat, i) =>
      right.map((count, c) => answered(endpoint, i < count, { seat, coffee: `c${c + 1}` })),
    );
    return analyse(evidenceOf(planFor([endpoint], three, { tasters: 20 }), ballots));
  };
  type BrightestA = Omit<typeof brightest, "expected"> & { expected: "A" };
  const expectsA: BrightestA = { ...brightest, expected: "A" };

  it("a coffee on which people find more in the other cups is named", () => {
    // P(X = 0 | 20, 1/3) = (2/3)^20 = 0.0003.
    const findings = onThree(brightest, [20, 20, 0]);
    expect(findings.headline).toBe("different-for-some");
    const [, , cinder] = findings.endpoints[0]?.coffees ?? [];
    expect(cinder).toMatchObject({ goesOtherWay: true, exception: "other-way" });
    expect(cinder?.exceptionPValue).toBeCloseTo(2 * (2 / 3) ** 20, 12);
    const words = wordReport(findings, planFor([brightest], three));
    expect(words.endpoints[0]?.rows[3]?.verdict).toContain("goes the other way");
    expect(words.verdict.join(" ")).toContain("Pot was picked out of three 0 of 20 times");
  });

  it("sizes are shares of people, below 0 where they find more in the other treatment", () => {
    const all = (endpoint: typeof brightest | BrightestA, right: number) =>
      onThree(endpoint, [right, right, right]).endpoints[0];
    // 14 of 20: (0.7 − 1/3)/(2/3); 2 of 20: 0.1 · 3 − 1.
    expect(all(brightest, 14)?.coffees[0]?.estimate?.value).toBeCloseTo(0.55, 12);
    expect(all(brightest, 2)?.coffees[0]?.estimate?.value).toBeCloseTo(-0.7, 12);
    expect(all(expectsA, 14)?.coffees[0]?.estimate?.value).toBeCloseTo(-0.55, 12);
    expect(all(expectsA, 2)?.coffees[0]?.estimate?.value).toBeCloseTo(0.7, 12);
  });

  it("limits and intervals are mirrored with the expectation, and nothing else is", () => {
    const [b, a] = [onThree(brightest, [14, 12, 9]), onThree(expectsA, [14, 12, 9])];
    const [one, other] = [b.endpoints[0], a.endpoints[0]];
    expect(b.headline).toBe(a.headline);
    expect(other?.difference.pValue).toBe(one?.difference.pValue);
    expect(other?.margin.pValue).toBe(one?.margin.pValue);
    expect(other?.estimate?.lower).toBe(-(one?.estimate?.upper ?? 0));
    expect(other?.margin.lowerLimit).toBe(-(one?.margin.upperLimit ?? 0));
    const words = wordReport(a, planFor([expectsA], three));
    expect(words.verdict.join(" ")).toContain("Tank");
  });
});

describe("Closeness by each method", () => {
  // P(X <= 20 | 60, 1/3 + 2/3 * 0.3) = 0.00141 by R's pbinom: far within; and of three cups the
  // other way, P(X >= 10 | 60, 1/3 * 0.7) = 0.9198: few right is no closeness.
  it.each([triangle, duoTrio, tetrad, brightest])(
    "answers as luck gives them pass on 90 tasters: $kind, $method",
    (endpoint) => {
      const guessed = endpoint === duoTrio ? 45 : 30;
      expect(primaryOf(session(endpoint, guessed, 90)).state).toBe("equivalence");
    },
  );

  it("a 3-AFC whose single cup is nearly never picked isn't close: people find more in the others", () => {
    const { state, margin } = primaryOf(session(brightest, 10, 60));
    expect(margin.pValue).toBeCloseTo(0.919833788787513, 12);
    expect(state).toBe("inconclusive");
    expect(margin.lowerLimit).toBeLessThan(-0.3);
  });

  it("a triangle or tetrad with few right is close: nobody picks wrongly because they can tell", () => {
    expect(primaryOf(session(triangle, 10, 60)).state).toBe("equivalence");
    expect(primaryOf(session(tetrad, 10, 60)).state).toBe("equivalence");
  });
});

describe("Two cups of a tray that stood on each other's places", () => {
  const valueIn = (
    endpoint: RightOrWrongEndpoint,
    ballot: ReturnType<typeof answered>,
  ): number | undefined => observe(endpoint, [ballot]).observations[0]?.value;

  it("make the other groups of a tetrad right", () => {
    const ballots = seats(6).map((seat) => answered(tetrad, true, { seat }));
    for (const ballot of ballots) {
      const [first, ...others] = ballot.cups;
      const otherPot = others.find(({ potLetter }) => potLetter !== first?.potLetter);
      const swapped = withCodesExchanged(ballot, [first?.code ?? "", otherPot?.code ?? ""]);
      const [newFirst] = swapped.cups;
      const fellow = swapped.cups.find(
        ({ position, potLetter }) => position > 1 && potLetter === newFirst?.potLetter,
      );
      expect(swapped.fellowPosition).toBe(fellow?.position);
      expect(valueIn(tetrad, swapped)).toBe(0);
      const samePot = others.find(({ potLetter }) => potLetter === first?.potLetter);
      const same = withCodesExchanged(ballot, [first?.code ?? "", samePot?.code ?? ""]);
      expect(valueIn(tetrad, same)).toBe(1);
    }
  });

  it("turn a duo-trio's answer round, or leave no cup like the reference and so no answer", () => {
    for (const seat of seats(4)) {
      const ballot = answered(duoTrio, true, { seat });
      const [reference, ...pair] = ballot.cups;
      const [one, other] = pair;
      const turned = withCodesExchanged(ballot, [one?.code ?? "", other?.code ?? ""]);
      expect(valueIn(duoTrio, turned)).toBe(0);
      const odd = pair.find(({ potLetter }) => potLetter !== reference?.potLetter);
      const matchless = withCodesExchanged(ballot, [reference?.code ?? "", odd?.code ?? ""]);
      expect(valueIn(duoTrio, matchless)).toBeUndefined();
      const match = pair.find(({ potLetter }) => potLetter === reference?.potLetter);
      const same = withCodesExchanged(ballot, [reference?.code ?? "", match?.code ?? ""]);
      expect(valueIn(duoTrio, same)).toBe(1);
    }
  });
});
