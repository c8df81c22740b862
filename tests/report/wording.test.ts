import { describe, expect, it } from "vitest";
import type { Endpoint } from "../../src/experiment/endpoint.ts";
import { analyse } from "../../src/report/analysis.ts";
import type { PositionFinding } from "../../src/report/checks.ts";
import type { EndpointFinding } from "../../src/report/endpoint-finding.ts";
import type { Advice, Findings, Headline } from "../../src/report/findings.ts";
import type { ProcessClaim } from "../../src/report/process-claim.ts";
import { adviceSentence } from "../../src/report/wording/advice.ts";
import {
  brewerSentences,
  conductSentences,
  leftOutSentences,
  positionSentences,
} from "../../src/report/wording/cautions.ts";
import { aloneSentence, verdictRows } from "../../src/report/wording/coffees.ts";
import { decideSentences } from "../../src/report/wording/decide.ts";
import { factsOf } from "../../src/report/wording/facts.ts";
import { faultSentence, headlineWords } from "../../src/report/wording/headlines.ts";
import { percentAtMost, timesByLuck } from "../../src/report/wording/numbers.ts";
import { processSentence } from "../../src/report/wording/process.ts";
import { wordReport } from "../../src/report/wording.ts";
import {
  brighter,
  evidenceOf,
  extractionYield,
  pick,
  planFor,
  pots,
  preferred,
  scored,
  seats,
  sweetness,
  triad,
  triangle,
} from "./sessions.ts";

const names = { A: "Tank", B: "Pot" };
/** With ordinary spaces, for reading. */
const plain = (text: string) => text.replaceAll("\u00a0", " ");

function words(
  endpoint: Endpoint,
  ballots: Parameters<typeof evidenceOf>[1],
  coffees = ["Bramble"],
) {
  const plan = planFor([endpoint], coffees, { tasters: 24 });
  const report = wordReport(analyse(evidenceOf(plan, ballots)), plan);
  return { ...report, verdict: report.verdict.map(plain) };
}

const triads = (n: number, right: number) => seats(n).map((seat, t) => triad(t < right, { seat }));
const picks = (n: number, ofB: number) =>
  seats(n).map((seat, t) => pick(t < ofB ? "B" : "A", { seat }));
const scores = (differences: number[]) =>
  differences.map((d, t) => scored(50, 50 + d, { seat: seats(99)[t] ?? "" }));

describe("how often luck alone does it", () => {
  it.each([
    [0.0000001, "less than 1 time in 10,000"],
    [0.0005, "about 1 time in 2,000"],
    [0.0142, "about 1 time in 70"],
    [0.0284, "about 1 time in 35"],
    [0.05, "about 1 time in 20"],
    [0.17, "about 1 time in 6"],
    [0.43, "about 4 times in 10"],
    [0.61, "about 6 times in 10"],
    [1, "almost always"],
  ])("p = %f is %s", (pValue, text) => {
    expect(timesByLuck(pValue)).toBe(text);
  });
});

describe("an upper limit in percent", () => {
  it.each([
    [0.221, 0.3, "23 %"],
    [0.2961, 0.3, "29.7 %"],
    [-0.1, 0.3, "0 %"],
    [1, 0.3, "100 %"],
  ])("%f against a margin of %f reads %s, never less than it is", (limit, margin, text) => {
    expect(plain(percentAtMost(limit, margin))).toBe(text);
  });
});

describe("the headline and its sentence", () => {
  it("knows exactly five headlines", () => {
    expect(headlineWords).toEqual({
      different: "Different",
      "different-for-some": "Different for some coffees",
      "close-enough": "Close enough",
      "not-settled": "Not settled",
      "not-sound": "Test not sound",
    } satisfies Record<Headline, string>);
  });

  it.each<[string, Endpoint, ReturnType<typeof triads>, string, string]>([
    [
      "a triangle that shows it",
      triangle,
      triads(24, 14),
      "Different",
      "People can tell Tank and Pot apart: 14 of 24 picked the odd cup; luck alone would do that well about 1 time in 97.",
    ],
    [
      "a triangle within the margin",
      triangle,
      triads(60, 20),
      "Close enough",
      "At most 17 % of people could tell them apart, inside the 30 % that you set as not mattering.",
    ],
    [
      "a triangle that leaves it open",
      triangle,
      triads(12, 4),
      "Not settled",
      "Not settled: 4 of 12 picked the odd cup; luck alone would do that well about 6 times in 10; yet up to 41 % of people could still be telling them apart, and you set 30 % as the most that doesn't matter.",
    ],
    [
      "a direction towards B",
      brighter,
      picks(24, 20),
      "Different",
      "Pot has more brightness: it was picked 20 of 24 times; luck alone would lean this far either way about 1 time in 650.",
    ],
    [
      "a direction towards A",
      brighter,
      picks(24, 4),
      "Different",
      "Tank has more brightness: it was picked 20 of 24 times; luck alone would lean this far either way about 1 time in 650.",
    ],
    [
      "a one-sided direction",
      { ...brighter, expected: "B" },
      picks(24, 18),
      "Different",
      "Pot has more brightness: it was picked 18 of 24 times; luck alone would lean this far about 1 time in 88.",
    ],
    [
      "a one-sided direction that went the other way",
      { ...brighter, expected: "B" },
      picks(10, 3),
      "Not settled",
      "Not settled: Tank was picked 7 of 10 times; it leaned against what was expected; yet up to 83 % of people could truly be leaning one way, and you set 30 % as the most that doesn't matter.",
    ],
    [
      "a direction that split evenly",
      brighter,
      picks(10, 5),
      "Not settled",
      "Not settled: Pot was picked 5 of 10 times; the picks split evenly; yet up to 56 % of people could truly be leaning one way, and you set 30 % as the most that doesn't matter.",
    ],
    [
      "a direction within the margin",
      brighter,
      picks(98, 49),
      "Close enough",
      "At most 18 % of people could truly be leaning one way, inside the 30 % that you set as not mattering.",
    ],
    [
      "a direction that is shown and yet within the margin",
      brighter,
      seats(400).map((seat, t) => pick(t < 225 ? "B" : "A", { seat })),
      "Close enough",
      "There is a small difference (Pot was picked 225 of 400 times; luck alone would lean this far either way about 1 time in 71), but at most 21 % of people could truly be leaning one way, inside the 30 % that you set as not mattering.",
    ],
    [
      "a direction that leaves it open",
      brighter,
      picks(10, 6),
      "Not settled",
      "Not settled: Pot was picked 6 of 10 times; luck alone would lean this far either way about 8 times in 10; yet up to 70 % of people could truly be leaning one way, and you set 30 % as the most that doesn't matter.",
    ],
    [
      "a preference",
      preferred,
      picks(24, 20),
      "Different",
      "People prefer Pot: it was picked 20 of 24 times; luck alone would lean this far either way about 1 time in 650.",
    ],
    [
      "scores that show it",
      sweetness,
      scores([12, 15, 9, 20, 11, 14, 16, 10]),
      "Different",
      "Pot scores higher on sweetness: by 13.4 points on average over 8 tasters; luck alone would put them this far apart about 1 time in 130.",
    ],
    [
      "scores within the margin",
      sweetness,
      scores([2, -3, 1, 0, -2, 3, 1, -2]),
      "Close enough",
      "The true gap lies between −1.4 and +1.4 points (90 % interval), inside the ±10 points that you set as not mattering.",
    ],
    [
      "scores that leave it open",
      sweetness,
      scores([30, -25, 10]),
      "Not settled",
      "Not settled: Pot came out +5.0 points against Tank on average over 3 tasters; luck alone would put them this far apart about 8 times in 10; yet the true gap could be anything between −41.9 and +51.9 points (90 % interval), and you set ±10 points as the most that doesn't matter.",
    ],
    ["nothing answered", triangle, [], "Not settled", "No answer counts, so nothing can be said."],
    [
      "one taster only, who says nothing about people",
      sweetness,
      scores([8]),
      "Not settled",
      "Not settled: Pot came out +8.0 points against Tank on average over 1 taster; luck alone would put them this far apart almost always; there are too few answers to say how large a difference could be.",
    ],
  ])("for %s", (_, endpoint, ballots, headline, sentence) => {
    const report = words(endpoint, ballots);
    expect(report.headline).toBe(headline);
    expect(report.verdict).toEqual([sentence]);
  });

  it("never calls anything the same or equal for want of a difference", () => {
    for (const report of [words(triangle, triads(12, 4)), words(brighter, picks(10, 5))]) {
      expect(report.headline).toBe("Not settled");
      expect(JSON.stringify([report.verdict, report.advice])).not.toMatch(
        /same|equal|no difference|identical/i,
      );
    }
  });
});

describe("a finding that is not for every coffee", () => {
  const perCoffee = (counts: number[], n: number) =>
    counts.flatMap((count, c) =>
      seats(n).map((seat, t) =>
        pick((t + 5 * c) % n < count ? "B" : "A", { seat, coffee: `c${c + 1}` }),
      ),
    );

  it("names the coffee that goes the other way", () => {
    const report = words(brighter, perCoffee([16, 16, 16, 3], 16), [
      "Sallow",
      "Petrel",
      "Anvil",
      "Cinder",
    ]);
    expect(report.headline).toBe("Different for some coffees");
    expect(report.verdict[0]).toContain(
      "Not on every coffee. Cinder goes the other way: Tank was picked 13 of 16 times; luck alone would do that about 1 time in 47.",
    );
  });

  it("names the coffee that stays within the margin", () => {
    const report = words(brighter, perCoffee([70, 40], 80), ["Sallow", "Petrel"]);
    expect(report.verdict[0]).toMatch(/Not on every coffee\. Petrel stays within the margin\.$/);
  });

  it("names the coffees that carry it when alpha was split", () => {
    const plan = planFor([brighter], ["Sallow", "Petrel", "Anvil", "Cinder"], {
      tasters: 12,
      coffeeClaims: "split-alpha",
    });
    const report = wordReport(analyse(evidenceOf(plan, perCoffee([12, 4, 6, 5], 12))), plan);
    expect(report.verdict).toEqual([
      "On Sallow Pot has more brightness (Pot was picked 12 of 12 times; luck alone would single out a coffee like this about 1 time in 510); Petrel, Anvil and Cinder are not shown to differ.",
    ]);
  });
});

describe("a coffee's own verdict", () => {
  const [finding] = analyse(
    evidenceOf(planFor([brighter], ["Sallow", "Petrel"]), picks(24, 20)),
  ).endpoints;
  const coffee = finding?.coffees[0];
  if (!finding || !coffee) throw new Error("no coffee");
  const rowsOf = (changed: Partial<typeof coffee>, overall: Partial<typeof finding> = {}) =>
    verdictRows(
      { ...finding, ...overall, coffees: [{ ...coffee, ...changed }, coffee] },
      names,
      true,
    );
  const open = { state: "inconclusive" } as const;
  const settled = { state: "difference", shownBy: "overall" } as const;

  it.each<[Partial<typeof coffee>, string]>([
    [{ state: "difference" }, "different"],
    [{ state: "trivial-difference" }, "a small difference, within the margin"],
    [{ state: "equivalence" }, "close enough"],
    [
      { ...open, goesOtherWay: true },
      "not settled on its own; it leans the other way, which may be luck",
    ],
    [
      { exception: "other-way", exceptionPValue: 0.02 },
      "goes the other way; luck alone would do that about 1 time in 50",
    ],
  ])("%#", (changed, verdict) => {
    const row = { name: "Sallow", seen: "Pot was picked 20 of 24 times", verdict };
    expect(rowsOf(changed, { state: "inconclusive", shownBy: null })[1]).toEqual(row);
  });

  it("is none without an answer", () => {
    const seen = "No answer counts";
    const row = { name: "Sallow", seen, verdict: "nothing can be said" };
    expect(rowsOf({ counts: { ...coffee.counts, answers: 0 } })[1]).toEqual(row);
  });

  it("is plainly not settled when it is the only coffee", () => {
    const one = { ...finding, coffees: [{ ...coffee, ...open }] };
    expect(verdictRows(one, names, true)).toMatchObject([{ verdict: "not settled" }]);
    expect(aloneSentence(one)).toBeNull();
  });

  it("says where an open coffee points when all together are settled, and why it is open", () => {
    expect(rowsOf(open, settled)[1]?.verdict).toBe("points the same way, not settled on its own");
    const one = { ...finding, ...settled, coffees: [{ ...coffee, ...open }, coffee] };
    expect(aloneSentence(one)).toContain("no sign that it differs from the rest");
    expect(aloneSentence({ ...one, state: "inconclusive", shownBy: null })).toBeNull();
  });

  it("stands under that of all coffees together, with its exceptions", () => {
    const excepted = { exception: "other-way" } as const;
    expect(rowsOf({}, settled)[0]).toMatchObject({ name: "All coffees", verdict: "different" });
    expect(rowsOf(excepted, settled)[0]?.verdict).toBe("different, not on every coffee");
    expect(rowsOf({}, { ...settled, shownBy: "coffees" })[0]?.verdict).toBe(
      "different on some coffees",
    );
  });
});

describe("the process claim in words", () => {
  const signFlip: ProcessClaim = {
    status: "shown",
    method: "sign-flip-over-brew-pairs",
    pairs: 12,
    favouringA: 2,
    favouringB: 10,
    even: 0,
    estimate: 0.4,
    pValue: 0.025,
    adjustedPValue: 0.025,
    smallestPossiblePValue: 2 ** -11,
    claimable: true,
    pairsForAnyClaim: 6,
    pairList: [],
  };
  const contrast: ProcessClaim = {
    ...signFlip,
    method: "contrast-with-control-pairs",
    favouringA: null,
    favouringB: null,
    estimate: 0.25,
  };

  it.each<[ProcessClaim, string]>([
    [
      signFlip,
      "It holds beyond these pots: 10 of 12 brew pairs leaned to Pot; if the treatment did nothing, they would lean that far one way about 1 time in 40.",
    ],
    [
      { ...signFlip, favouringA: 7, favouringB: 5, pValue: 0.77, status: "not-shown" },
      "That it is the treatment, and not just these pots, is not shown: 7 of 12 brew pairs leaned to Tank; if the treatment did nothing, they would lean that far one way about 8 times in 10.",
    ],
    [
      { ...signFlip, favouringA: 6, favouringB: 6, pValue: 1, status: "not-shown" },
      "That it is the treatment, and not just these pots, is not shown: 12 brew pairs split evenly between Tank and Pot.",
    ],
    [
      { ...signFlip, pairs: 3, status: "too-few-pairs" },
      "Nothing can be said beyond these pots: there were 3 brew pairs, and it takes at least 6 that lean, all one way.",
    ],
    [
      { ...signFlip, pairs: 6, even: 1, status: "too-few-pairs" },
      "Nothing can be said beyond these pots: there were 6 brew pairs, 1 of them even, and it takes at least 6 that lean, all one way.",
    ],
    [
      contrast,
      "It holds beyond these pots: pots of two treatments were told apart in 25 more answers of 100 than pots of one treatment; luck alone would do that about 1 time in 40.",
    ],
    [
      { ...contrast, estimate: -0.05, pValue: 0.7, status: "not-shown" },
      "That it is the treatment, and not just these pots, is not shown: pots of two treatments were told apart in 5 fewer answers of 100 than pots of one treatment; luck alone would do that about 7 times in 10.",
    ],
    [
      { ...contrast, pairs: 1, status: "too-few-pairs", pairsForAnyClaim: 19 },
      "Nothing can be said beyond these pots: there were 1 brew pair, and it takes at least 19.",
    ],
    [
      { ...contrast, pairs: 4, status: "too-few-pairs", pairsForAnyClaim: 3 },
      "Nothing can be said beyond these pots: 4 brew pairs, with results as alike as theirs and the control pairs', can't carry that claim.",
    ],
    [
      { ...contrast, status: "too-few-pairs", pairsForAnyClaim: null },
      "Nothing can be said beyond these pots: 12 brew pairs can't carry that claim.",
    ],
    [
      { ...contrast, status: "no-control-pairs" },
      "Nothing can be said beyond these pots: without hidden pairs of pots brewed alike, nobody knows how often people tell any two pots apart.",
    ],
    [
      { ...signFlip, status: "no-data" },
      "No brew pair has answers, so nothing can be said about the treatment.",
    ],
  ])("%#", (process, sentence) => {
    expect(processSentence({ process, kind: "direction", names })).toBe(sentence);
  });

  it("speaks of extraction when that is the question", () => {
    expect(processSentence({ process: signFlip, kind: "extraction-yield", names })).toContain(
      "10 of 12 brew pairs extracted more with Pot",
    );
  });
});

describe("the advice in words", () => {
  function primary(endpoint: Endpoint, changes: Partial<EndpointFinding> = {}): EndpointFinding {
    const [finding] = analyse(evidenceOf(planFor([endpoint], ["Sallow", "Cinder"]), [])).endpoints;
    if (!finding) throw new Error("no endpoint");
    return { ...finding, ...changes };
  }
  const at = (value: number) => ({
    estimate: { value, lower: null, upper: null, confidence: 0.95 },
  });
  const shown = (finding: EndpointFinding): EndpointFinding => ({
    ...finding,
    process: { ...finding.process, status: "shown" },
  });
  const excepted = primary(brighter);
  const yieldPrimary = { ...extractionYield, id: "e1", role: "primary" as const };

  it.each<[Advice, Headline, EndpointFinding, string]>([
    [
      "roll-out",
      "different",
      primary(brighter, at(0.5)),
      "Roll out Pot if more brightness is what you want.",
    ],
    [
      "roll-out",
      "different",
      primary(brighter, at(-0.5)),
      "Roll out Pot if less brightness is what you want.",
    ],
    [
      "roll-out",
      "different",
      primary(sweetness, at(8)),
      "Roll out Pot if more sweetness is what you want.",
    ],
    [
      "roll-out",
      "different",
      primary(yieldPrimary, at(-1)),
      "Roll out Pot if less extraction is what you want.",
    ],
    [
      "roll-out",
      "different",
      primary(preferred, at(0.5)),
      "Roll out Pot: people prefer it, brew after brew.",
    ],
    ["stop", "different", primary(preferred, at(-0.5)), "Stop: keep Tank, which people prefer."],
    [
      "stop",
      "close-enough",
      primary(triangle),
      "Stop here: the cup gives no reason to change; choose Tank or Pot by cost and ease. This holds for the cups that were served; another brew pair can differ more.",
    ],
    [
      "stop",
      "close-enough",
      primary(yieldPrimary),
      "Stop here: the cup gives no reason to change; choose Tank or Pot by cost and ease.",
    ],
    [
      "limit",
      "different-for-some",
      {
        ...excepted,
        coffees: excepted.coffees.map((coffee, i) => ({
          ...coffee,
          exception: i === 1 ? ("other-way" as const) : null,
        })),
      },
      "Limit the change to Pot: leave out Cinder.",
    ],
    [
      "limit",
      "different-for-some",
      {
        ...excepted,
        shownBy: "coffees",
        coffees: excepted.coffees.map((coffee, i) => ({
          ...coffee,
          difference: { ...coffee.difference, shown: i === 0 },
        })),
      },
      "Limit the change to Pot to Sallow.",
    ],
    [
      "repeat",
      "not-sound",
      primary(brighter),
      "Repeat it with the fault mended; change nothing on the strength of this session.",
    ],
    [
      "repeat",
      "not-settled",
      primary(brighter),
      "Repeat it with more, as the numbers below say; change nothing yet.",
    ],
    [
      "repeat",
      "different",
      primary(brighter),
      "Don't roll out yet: these cups differ, but pots differ by themselves too. Repeat it over more brew pairs.",
    ],
    [
      "repeat",
      "different",
      shown(primary(triangle)),
      "The treatment reaches the cup, but telling cups apart doesn't say which is better: ask whether people prefer Tank or Pot before you change anything.",
    ],
  ])("%s, %s", (advice, headline, finding, sentence) => {
    expect(adviceSentence(advice, headline, finding, names)).toBe(sentence);
  });
});

describe("what would make it definitive", () => {
  const [finding] = analyse(
    evidenceOf(planFor([triangle], ["Marsh"], { tasters: 12 }), triads(12, 4)),
  ).endpoints;
  if (!finding) throw new Error("no endpoint");
  const facts = factsOf(finding, names);
  const nothing = {
    power: 0.8,
    moreTastersToFind: null,
    moreTastersToPass: null,
    moreBrewPairsForAnyClaim: null,
    moreBrewPairsToFind: null,
    moreBrewPairsToPass: null,
  };
  const both = { cups: true, process: true, withoutControlPairs: false };

  it("counts tasters and brew pairs that are still missing", () => {
    const needs = {
      ...nothing,
      moreTastersToFind: 30,
      moreTastersToPass: 1,
      moreBrewPairsForAnyClaim: 5,
      moreBrewPairsToFind: 9,
      moreBrewPairsToPass: 8,
    };
    expect(decideSentences(needs, facts, both).map(plain)).toEqual([
      "With 30 more tasters, a difference as large as the margin (30 %) would be found 4 times in 5.",
      "With 1 more taster, cups that are truly the same would pass 4 times in 5.",
      "With 8 more brew pairs, equal yields would pass 4 times in 5.",
      "It takes at least 5 more brew pairs before anything can be said beyond these pots.",
      "With 9 more brew pairs, a difference as large as the margin (30 %) would be shown beyond these pots 4 times in 5.",
    ]);
  });

  it("says nothing of what is settled", () => {
    expect(decideSentences(null, facts, both)).toEqual([]);
    const pairs = { ...nothing, moreTastersToFind: 3, moreBrewPairsForAnyClaim: 5 };
    expect(decideSentences(pairs, facts, { ...both, cups: false })).toHaveLength(1);
    expect(decideSentences(pairs, facts, { ...both, process: false })).toHaveLength(1);
  });

  it("asks for pairs of pots brewed alike where the plan had none to compare with", () => {
    const said = decideSentences(nothing, facts, { ...both, withoutControlPairs: true });
    expect(said).toContain(
      "It takes hidden pairs of pots brewed alike in the plan, at least one a coffee, before anything can be said beyond these pots.",
    );
  });

  it("admits that a large enough session fell between", () => {
    expect(decideSentences(nothing, facts, both)[0]).toMatch(
      /fell between different and close enough/,
    );
  });
});

describe("a test that is not sound", () => {
  const sound = analyse(evidenceOf(planFor([triangle]), triads(12, 9)));
  const control = {
    endpointId: "e1",
    method: "triangle" as const,
    control: "same-pot" as const,
    answers: 12,
    pairs: 1,
    count: 9,
    chance: 1 / 3,
    meanAbsoluteDifference: null,
    pValue: 0.004,
    size: 0.75,
    testSize: 0.75,
    differsAsMuch: true,
  };
  const brewers = [
    { brewer: "North", potsOfA: 2, potsOfB: 0 },
    { brewer: "South", potsOfA: 0, potsOfB: 2 },
  ];
  const base = { conduct: sound.conduct, brewers: sound.brewers, control: null, names };

  it("says that answers were not blind", () => {
    const openedEarly = [{ at: "2026-03-02T10:00:00Z", reason: "allergy", answersAfter: 8 }];
    const conduct = { ...sound.conduct, openedEarly };
    expect(faultSentence({ ...base, fault: "blind-broke", conduct })).toBe(
      "The key was open before 8 answers were given, so these were not blind.",
    );
  });

  it.each([
    ["control-pairs", "hidden pairs of pots brewed alike were told apart too"],
    ["yield", "their yields differ"],
    ["brew-time", "their brew times differ"],
    ["treatments-confounded", "the two can't be told from the treatments"],
  ] as const)("says who brewed what, and that brewers differ by %s", (differBy, text) => {
    const finding = { swapped: "not-swapped" as const, brewers, pValue: null, differBy };
    expect(faultSentence({ ...base, fault: "brewers-not-swapped", brewers: finding })).toBe(
      `North brewed 2 pots of Tank and 0 of Pot and South brewed 0 pots of Tank and 2 of Pot, and ${text}; what was found may be the brewer.`,
    );
  });

  it.each([
    [control, "9 of 12 picked the odd cup"],
    [
      { ...control, method: "paired-comparison" as const, chance: 1 / 2, size: 0.75 },
      "a lean of 75 % on average",
    ],
    [
      { ...control, method: null, chance: null, count: null, size: 7.25 },
      "7.3 points apart on average",
    ],
  ])("says what the controls showed: %#", (found, number) => {
    expect(plain(faultSentence({ ...base, fault: "controls-differ", control: found }))).toBe(
      `Hidden pairs that held no difference were told apart as much as the treatments (${number}).`,
    );
  });

  it("gives no verdict on any coffee, claims nothing, and says what to mend", () => {
    const plan = planFor([brighter, { ...preferred, role: "exploratory" }], ["Sallow", "Petrel"]);
    const ballots = seats(24).flatMap((seat) =>
      plan.coffees.map(({ id }) => pick("B", { seat, coffee: id })),
    );
    const blind = {
      openedEarly: [{ at: "2026-01-01T00:00:00.000Z", reason: "" }],
      leadSawSheets: [],
    };
    const report = wordReport(analyse({ ...evidenceOf(plan, ballots), blind }), plan);
    expect(report.headline).toBe("Test not sound");
    for (const { rows, state, process } of report.endpoints) {
      expect(new Set(rows.map(({ verdict }) => verdict))).toEqual(new Set(["no verdict"]));
      expect([state, process]).toEqual(["no verdict", report.process]);
    }
    expect(report.endpoints[0]?.cups).toBe("Pot was picked 48 of 48 times.");
    expect(report.definitive).toEqual([
      "Run it again with the key closed until the last answer is in.",
    ]);
  });

  it("replaces the verdict by its faults", () => {
    const tests = triads(12, 9);
    const same = seats(12).map((seat, t) => triad(t < 9, { seat, control: "same-pot" }));
    const report = words(triangle, [...tests, ...same]);
    expect(report.headline).toBe("Test not sound");
    expect(report.process).toBe(
      "Nothing is claimed beyond these pots, since the test is not sound.",
    );
    expect(report.verdict).toEqual([
      "Hidden pairs that held no difference were told apart as much as the treatments (9 of 12 picked the odd cup).",
    ]);
  });
});

describe("cautions", () => {
  const findings: Findings = analyse(evidenceOf(planFor([triangle]), triads(12, 9)));

  it("say how blind it was", () => {
    const blind = (blinding: Findings["conduct"]["blinding"]) =>
      conductSentences({
        ...findings.conduct,
        blinding,
        leadSawSheets: [
          { at: "", sheet: "pour-sheet" },
          { at: "", sheet: "brew-sheet" },
          { at: "", sheet: "pour-sheet" },
        ],
      })[0];
    expect(blind("double-blind")).toBe(
      "Double-blind: nobody who ran the session or tasted is known to have seen the key.",
    );
    expect(blind("single-blind")).toBe(
      "Single-blind: whoever ran the session had opened the pour sheet and brew sheet; no taster is known to have.",
    );
    expect(blind("broken")).toBe(
      "Not blind to the end: the key was opened while people were still tasting.",
    );
  });

  it("say what did not come in and what was rejected", () => {
    const conduct = {
      ...findings.conduct,
      ballotsExpected: 20,
      brewPairsPlanned: 6,
      brewPairsRejected: 1,
    };
    expect(conductSentences(conduct).slice(1)).toEqual([
      "12 answers came in for the 20 sets of 12 seats taken, leavers included; nothing is filled in for the rest.",
      "1 brew pair of 6 was rejected for how they were brewed, never for yield or taste.",
    ]);
  });

  it("report an early opening with its reason", () => {
    const openedEarly = [{ at: "2026-03-02T10:42:07.123Z", reason: "allergy", answersAfter: 0 }];
    expect(conductSentences({ ...findings.conduct, openedEarly })[1]).toBe(
      "The key was opened before closing, at 2026-03-02 10:42 UTC (allergy); 0 answers came after it.",
    );
  });

  it("name a position picked beyond luck, and a taster who never left one", () => {
    const position = {
      set: "triangle" as const,
      endpointId: "e1",
      counts: [3, 4, 17],
      pValue: 0.001,
      biased: true,
      alwaysSame: [{ seatId: "x", position: 2, answers: 8, pValue: 0.00731 }],
    };
    expect(positionSentences(position, "Can people tell them apart?")).toEqual([
      "Can people tell them apart? The third cup was picked 17 of 24 times; luck alone would be this uneven about 1 time in 1,000.",
      "Can people tell them apart? With one taster the second cup was picked 8 of 8 times; luck would bring that to anyone on the panel about 1 time in 140. Their answers count.",
    ]);
    expect(positionSentences({ ...position, biased: false, alwaysSame: [] }, "")).toEqual([]);
    const first = (set: PositionFinding["set"], counts: number[]) =>
      positionSentences({ ...position, set, counts, alwaysSame: [] }, "")[0];
    // The reference of a duo-trio and the first cup of a tetrad can't be picked.
    expect(first("duo-trio", [10, 0])).toContain("The second cup was picked 10 of 10 times");
    expect(first("tetrad", [11, 5, 1])).toContain("The second cup was put with the first 11 of 17");
    expect(first("tetrad", [1, 5, 11])).toContain("The fourth cup was put with the first 11 of 17");
  });

  it("tell of brewers that were not swapped, or that differ though swapped", () => {
    const brewers = [{ brewer: "North", potsOfA: 1, potsOfB: 0 }];
    const finding = { swapped: "not-swapped" as const, brewers, pValue: null, differBy: null };
    expect(brewerSentences(finding, names, 0.05)).toEqual([
      "Brewers were not swapped evenly: North brewed 1 of Tank and 0 of Pot.",
    ]);
    expect(
      brewerSentences({ ...finding, swapped: "swapped", pValue: 0.03 }, names, 0.05)[0],
    ).toMatch(
      /^One brewer's pots came out differently whatever they held; luck alone would do that about 1 time in 33\./,
    );
    expect(brewerSentences({ ...finding, swapped: "swapped", pValue: 0.3 }, names, 0.05)).toEqual(
      [],
    );
  });

  it("list what was left out and whether it would change the headline", () => {
    const leftOut = {
      ballots: [{ reason: "spill", count: 2 }],
      rejectedPairs: [{ coffeeId: "c1", pair: 1, reason: "dose-outside-limit" }],
      repeated: { headline: "not-settled" as const, endpoints: [] },
    };
    expect(leftOutSentences(leftOut, "not-settled")).toEqual([
      "Left out: 2 answers (spill) and 1 brew pair. With all of it put back the headline would be the same.",
    ]);
    expect(leftOutSentences(leftOut, "different")[0]).toMatch(
      /the headline would be "Not settled"\.$/,
    );
    expect(
      leftOutSentences({ ballots: [], rejectedPairs: [], repeated: null }, "different"),
    ).toEqual([]);
  });

  it("miss control pairs when there were none", () => {
    expect(words(triangle, triads(12, 9)).cautions[0]).toMatch(
      /^No hidden control pair was served/,
    );
  });
});

describe("extraction yield in words", () => {
  const worded = (differences: number[]) => {
    const plan = planFor([triangle, extractionYield], ["Marsh"]);
    const logged = differences.flatMap((d, i) => pots({ pair: i + 1, yieldA: 20, yieldB: 20 + d }));
    return plain(wordReport(analyse(evidenceOf(plan, [], logged)), plan).endpoints[1]?.cups ?? "");
  };

  it.each([
    [
      [1, 1.2, 0.9, 1.1, 1.3, 1],
      "Pot extracts more: by 1.08 percentage points on average over 6 brew pairs; luck alone would put them this far apart about 1 time in 32.",
    ],
    [
      [0.2, -0.1, 0.3, -0.3, 0.1, 0, -0.2, 0.4, 0.1, -0.1, 0.2, -0.2],
      "The true gap lies between −0.08 and +0.15 points (90 % interval), inside the ±0.5 points that you set as not mattering.",
    ],
    [[], "No brew pair has both yields, so nothing can be said."],
  ])("%#", (differences, sentence) => {
    expect(worded(differences)).toBe(sentence);
  });
});
