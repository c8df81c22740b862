import { describe, expect, it } from "vitest";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import { analyse } from "../../src/report/analysis.ts";
import type { EndpointFinding } from "../../src/report/endpoint-finding.ts";
import type { EndpointState } from "../../src/report/finding-parts.ts";
import type { Advice, Headline } from "../../src/report/findings.ts";
import type { ProcessClaim } from "../../src/report/process-claim.ts";
import { adviceOf, headlineOf, stateOf } from "../../src/report/verdict.ts";
import {
  brighter,
  evidenceOf,
  pick,
  planFor,
  preferred,
  scored,
  seats,
  sweetness,
  triad,
  triangle,
} from "./sessions.ts";

function primaryOf(endpoint: Endpoint, changes: Partial<EndpointFinding> = {}): EndpointFinding {
  const [finding] = analyse(evidenceOf(planFor([endpoint], ["Sallow", "Petrel"]), [])).endpoints;
  if (!finding) throw new Error("no endpoint");
  return { ...finding, ...changes };
}

describe("the four states of an endpoint", () => {
  it.each<[boolean, boolean, EndpointState]>([
    [true, false, "difference"],
    [true, true, "trivial-difference"],
    [false, true, "equivalence"],
    [false, false, "inconclusive"],
  ])("shown: %s and within the margin: %s is %s", (shown, within, state) => {
    expect(stateOf(shown, within)).toBe(state);
  });
});

describe("the five headlines", () => {
  it.each<[EndpointState, "overall" | "coffees" | null, boolean, boolean, Headline]>([
    ["difference", "overall", false, true, "different"],
    ["difference", "overall", true, true, "different-for-some"],
    ["difference", "coffees", false, true, "different-for-some"],
    ["trivial-difference", "overall", true, true, "close-enough"],
    ["trivial-difference", "coffees", false, true, "close-enough"],
    ["equivalence", null, false, true, "close-enough"],
    ["inconclusive", null, false, true, "not-settled"],
    ["difference", "overall", true, false, "not-sound"],
    ["difference", "overall", false, false, "not-sound"],
    ["equivalence", null, false, false, "not-sound"],
    ["inconclusive", null, false, false, "not-sound"],
  ])(
    "%s, shown by %s, exception %s, sound %s reads %s",
    (state, shownBy, excepted, sound, headline) => {
      const { coffees } = primaryOf(brighter);
      const named = coffees.map((coffee, i) => ({
        ...coffee,
        exception: excepted && i === 1 ? ("other-way" as const) : null,
      }));
      expect(headlineOf(primaryOf(brighter, { state, shownBy, coffees: named }), sound)).toBe(
        headline,
      );
    },
  );
});

describe("the advice", () => {
  const towards = (value: number) => ({
    estimate: { value, lower: null, upper: null, confidence: 0.95 },
  });

  it.each<[Headline, Endpoint, ProcessClaim["status"], number, Advice]>([
    ["different", brighter, "shown", 0.5, "roll-out"],
    ["different", brighter, "shown", -0.5, "roll-out"],
    ["different", preferred, "shown", 0.5, "roll-out"],
    ["different", preferred, "shown", -0.5, "stop"],
    ["different", sweetness, "shown", 5, "roll-out"],
    ["different", triangle, "shown", 0.5, "repeat"],
    ["different", brighter, "not-shown", 0.5, "repeat"],
    ["different", brighter, "too-few-pairs", 0.5, "repeat"],
    ["different", triangle, "no-control-pairs", 0.5, "repeat"],
    ["different-for-some", brighter, "shown", 0.5, "limit"],
    ["different-for-some", brighter, "not-shown", 0.5, "repeat"],
    ["different-for-some", triangle, "shown", 0.5, "repeat"],
    ["close-enough", brighter, "shown", 0.1, "stop"],
    ["close-enough", brighter, "no-data", 0, "stop"],
    ["not-settled", brighter, "shown", 0.3, "repeat"],
    ["not-sound", brighter, "shown", 0.5, "repeat"],
  ])("%s on a question of this kind, process %s", (headline, endpoint, status, value, advice) => {
    const finding = primaryOf(endpoint, towards(value));
    const process = { ...finding.process, status };
    expect(adviceOf(headline, { ...finding, process })).toBe(advice);
  });
});

/** Picks of B out of everyone's single answer, coffee by coffee. */
function session(picksOfB: number[], tasters: number, more: Parameters<typeof planFor>[2] = {}) {
  const names = picksOfB.map((_, i) => `Coffee ${i + 1}`);
  const plan = planFor([brighter], names, { tasters, ...more });
  const ballots = picksOfB.flatMap((count, c) =>
    seats(tasters).map((seat, t) =>
      pick((t + 5 * c) % tasters < count ? "B" : "A", { seat, coffee: `c${c + 1}` }),
    ),
  );
  return analyse(evidenceOf(plan, ballots));
}

describe("claims about single coffees", () => {
  const oneStrong = [12, 4, 6, 5];

  it("are not made before the overall test is passed, however strong one coffee is", () => {
    const findings = session(oneStrong, 12);
    const [primary] = findings.endpoints;
    expect(primary?.coffees[0]?.difference.adjustedPValue).toBeLessThan(0.01);
    expect(primary?.coffees.map(({ difference }) => difference.shown)).toEqual([
      false,
      false,
      false,
      false,
    ]);
    expect(findings.headline).toBe("not-settled");
  });

  it("carry a headline of their own when alpha was split beforehand", () => {
    const findings = session(oneStrong, 12, { coffeeClaims: "split-alpha" });
    const [primary] = findings.endpoints;
    expect(primary?.difference).toMatchObject({ level: 0.025, shown: false });
    expect(primary?.shownBy).toBe("coffees");
    expect(primary?.coffees.map(({ difference }) => difference.shown)).toEqual([
      true,
      false,
      false,
      false,
    ]);
    expect(findings.headline).toBe("different-for-some");
  });

  it("are Holm-adjusted over the coffees", () => {
    const [primary] = session([12, 11, 10, 9], 12).endpoints;
    const raw = primary?.coffees.map(({ difference }) => difference.pValue ?? 1) ?? [];
    expect(primary?.coffees.map(({ difference }) => difference.adjustedPValue)).toEqual([
      4 * (raw[0] ?? 0),
      3 * (raw[1] ?? 0),
      2 * (raw[2] ?? 0),
      raw[3],
    ]);
  });

  it("name a coffee within the margin as an exception to an overall difference", () => {
    // Eighty tasters: 70 pick B on the first coffee, 40 on the second, which is within 30 %.
    const findings = session([70, 40], 80);
    expect(findings.endpoints[0]?.coffees[1]).toMatchObject({
      state: "equivalence",
      exception: "within-margin",
    });
    expect(findings.headline).toBe("different-for-some");
  });

  it("don't name a coffee that leans the other way by no more than luck", () => {
    const findings = session([12, 12, 12, 5], 12);
    expect(findings.endpoints[0]?.coffees[3]).toMatchObject({
      goesOtherWay: true,
      exception: null,
    });
    expect(findings.headline).toBe("different");
  });

  it("share Holm among the coffees that lean the other way", () => {
    // 3 of 16 has p = 0.0213 by itself; two such coffees have 0.0425 each.
    const findings = session([16, 16, 16, 3, 3], 16);
    const others = findings.endpoints[0]?.coffees.slice(3);
    expect(others?.map(({ exceptionPValue }) => exceptionPValue?.toFixed(4))).toEqual([
      "0.0425",
      "0.0425",
    ]);
    expect(others?.map(({ exception }) => exception)).toEqual(["other-way", "other-way"]);
  });
});

describe("closeness over coffees", () => {
  it("needs every coffee: one open coffee leaves the whole unsettled", () => {
    const findings = session([40, 40, 48], 80);
    const [primary] = findings.endpoints;
    expect(primary?.coffees.map(({ state }) => state)).toEqual([
      "equivalence",
      "equivalence",
      "inconclusive",
    ]);
    expect(primary?.state).toBe("inconclusive");
    expect(findings.headline).toBe("not-settled");
  });

  it("is never claimed with a coffee nobody answered", () => {
    const plan = planFor([brighter], ["Sallow", "Petrel"], { tasters: 80 });
    const ballots = seats(80).map((seat, t) => pick(t < 40 ? "B" : "A", { seat }));
    const [primary] = analyse(evidenceOf(plan, ballots)).endpoints;
    expect(primary?.margin).toMatchObject({ pValue: null, within: false });
  });

  it("can stand beside a difference that was shown: trivial, and the headline is Close enough", () => {
    // 225 of 400: p = 0.014, and at most 18 % lean.
    const findings = session([225], 400);
    expect(findings.endpoints[0]?.state).toBe("trivial-difference");
    expect(findings.headline).toBe("close-enough");
  });
});

describe("several questions", () => {
  const second: Endpoint = { ...sweetness, id: "e2", role: "secondary" };
  const third: Endpoint = { ...sweetness, id: "e3", role: "secondary", attribute: "body" };
  const fourth: Endpoint = { ...sweetness, id: "e4", role: "exploratory", attribute: "aroma" };
  const plan = planFor([brighter, second, third, fourth], ["Bramble"], { tasters: 6 });
  const ballots = seats(6).map((seat, t) => {
    const first = pick("B", { seat });
    const both = ["e2", "e3", "e4"].map(
      (endpointId) => scored(40, t === 0 ? 40 : 50 + t, { seat, endpointId }).answers,
    );
    // The same two cups carry all four answers.
    const codes = first.cups.map(({ code, treatment }) => ({ code, treatment }));
    const scores = Object.fromEntries(
      codes.map(({ code, treatment }) => [
        code,
        treatment === "A" ? 40 : 40 + (t === 0 ? 0 : 10 + t),
      ]),
    );
    const answers = Object.fromEntries(
      both.flatMap((answer) => Object.keys(answer).map((id) => [id, { scores }])),
    );
    return { ...first, answers: { ...first.answers, ...answers } };
  });
  const { endpoints } = analyse(evidenceOf(plan, ballots));

  it("leave the primary one uncorrected", () => {
    expect(endpoints[0]?.difference.pValue).toBe(2 / 2 ** 6);
    expect(endpoints[0]?.difference.adjustedPValue).toBe(2 / 2 ** 6);
  });

  it("Holm-adjust the secondary ones over each other", () => {
    expect(endpoints[1]?.difference).toMatchObject({
      pValue: 2 / 2 ** 5,
      adjustedPValue: 4 / 2 ** 5,
      shown: false,
    });
    expect(endpoints[2]?.difference).toMatchObject({ adjustedPValue: 4 / 2 ** 5, shown: false });
  });

  it("leave exploratory ones as they are", () => {
    expect(endpoints[3]).toMatchObject({
      role: "exploratory",
      difference: { adjustedPValue: 2 / 2 ** 5 },
    });
  });
});

describe("the process claim", () => {
  const pairsOf = (picks: number[], tasters = 8) => {
    const plan = planFor([brighter], ["Bramble"], { tasters, brewPairsPerCoffee: picks.length });
    const ballots = picks.flatMap((count, i) =>
      seats(tasters).map((seat, t) =>
        pick((t + i) % tasters < count ? "B" : "A", { seat, pair: i + 1 }),
      ),
    );
    return analyse(evidenceOf(plan, ballots)).endpoints[0]?.process;
  };

  it("can't be made with five pairs, though all lean one way", () => {
    expect(pairsOf([8, 8, 8, 8, 8])).toMatchObject({
      status: "too-few-pairs",
      claimable: false,
      smallestPossiblePValue: 2 / 2 ** 5,
      pairsForAnyClaim: 6,
    });
  });

  it("can't be made by triangles whose pairs and control pairs all come out alike", () => {
    const plan = planFor([triangle], ["Bramble"], {
      brewPairsPerCoffee: 4,
      controls: { samePot: 0, sameTreatmentPairsPerCoffee: 4 },
    });
    const halfRight = (pair: number) =>
      seats(6).map((seat, t) =>
        triad(t < 3, { seat, pair, control: pair > 4 ? "same-treatment" : null }),
      );
    const alike = [1, 2, 3, 4, 5, 6, 7, 8].flatMap(halfRight);
    expect(analyse(evidenceOf(plan, alike)).endpoints[0]?.process).toMatchObject({
      status: "too-few-pairs",
      pairs: 4,
      pValue: 1,
      smallestPossiblePValue: 1,
      claimable: false,
    });
  });

  it("is made with six pairs that all lean one way", () => {
    expect(pairsOf([6, 5, 7, 6, 5, 8])).toMatchObject({ status: "shown", pValue: 2 / 2 ** 6 });
  });

  it("is not shown when one of six leans back", () => {
    expect(pairsOf([6, 5, 7, 6, 5, 2])).toMatchObject({
      status: "not-shown",
      favouringA: 1,
      favouringB: 5,
    });
  });

  it("leaves even pairs out of what can be reached", () => {
    expect(pairsOf([8, 8, 8, 8, 8, 4])).toMatchObject({ even: 1, status: "too-few-pairs" });
  });

  it("for triangles holds test pairs against pairs of one treatment", () => {
    const plan = planFor([triangle], ["Bramble", "Anvil"], {
      tasters: 6,
      brewPairsPerCoffee: 3,
      controls: { samePot: 0, sameTreatmentPairsPerCoffee: 3 },
    });
    const ballots = ["c1", "c2"].flatMap((coffee) =>
      [1, 2, 3, 4, 5, 6].flatMap((pair) =>
        seats(6).map((seat, t) =>
          triad(pair > 3 ? t < 2 : t < 5, {
            seat,
            coffee,
            pair,
            control: pair > 3 ? "same-treatment" : null,
          }),
        ),
      ),
    );
    const [primary] = analyse(evidenceOf(plan, ballots)).endpoints;
    // All test pairs above all control pairs in both coffees: one of C(6, 3)² arrangements.
    expect(primary?.process).toMatchObject({
      status: "shown",
      method: "contrast-with-control-pairs",
    });
    expect(primary?.process.pValue).toBeCloseTo(1 / 20 ** 2, 15);
    expect(primary?.process.estimate).toBeCloseTo(0.5, 12);
  });
});

describe("can't-tell answers", () => {
  const plan = planFor([brighter], ["Bramble"], { tasters: 10, cannotTellAllowed: true });
  const ballots = seats(10).map((seat, t) =>
    pick(t < 6 ? "B" : t < 8 ? "A" : "cannot-tell", { seat }),
  );
  const controls = seats(10).map((seat, t) =>
    pick(t < 7 ? "cannot-tell" : 1, { seat, pair: 2, control: "same-pot" }),
  );
  const [primary] = analyse(evidenceOf(plan, [...ballots, ...controls])).endpoints;

  it("leave the test", () => {
    expect(primary?.counts).toMatchObject({ answers: 8, pickedA: 2, pickedB: 6 });
  });

  it("are counted beside those of the control pairs", () => {
    expect(primary?.cannotTell).toEqual({
      test: { count: 2, of: 10 },
      control: { count: 7, of: 10 },
    });
  });
});
