import { describe, expect, it } from "vitest";
import type { Endpoint } from "../../../src/experiment/endpoint.ts";
import { combine, combineSessions } from "../../../src/report/synthesis/combine.ts";
import { scaleOf } from "../../../src/report/synthesis/effect-scale.ts";
import { byCoffee, byRoast } from "../../../src/report/synthesis/groups.ts";
import { combinedAsPlanned } from "../../../src/report/synthesis/planned.ts";
import { questionOf, questionSlug } from "../../../src/report/synthesis/question.ts";
import {
  sessionAnswers,
  withContraryMarked,
} from "../../../src/report/synthesis/session-answers.ts";
import { logOddsOf, sessionEffect } from "../../../src/report/synthesis/session-effect.ts";
import { combinedSentence, surenessSentence } from "../../../src/report/synthesis/wording.ts";
import {
  answered,
  brighter,
  brightest,
  duoTrio,
  evidenceOf,
  extractionYield,
  pick,
  planFor,
  pots,
  scored,
  seats,
  sweetness,
  tetrad,
  triad,
  triangle,
} from "../sessions.ts";
import { bcg } from "./bcg.ts";

const POINTS = { unit: "scale-points", guessing: 0, towards: "B" } as const;
const YIELDS = { unit: "yield-points", guessing: 0, towards: "B" } as const;
const scaleOfEndpoint = (endpoint: Endpoint) => scaleOf(questionOf(endpoint));
const LEAN = scaleOfEndpoint(brighter);
const TRIANGLES = scaleOfEndpoint(triangle);

const labelled = (label: string, swapped = false) => ({ label, swapped });

/** `towardsB` of `tasters` pick B, each once. */
function pickSession(towardsB: number, tasters: number, label = "s", swapped = false) {
  const ballots = seats(tasters).map((seat, i) => pick(i < towardsB ? "B" : "A", { seat }));
  return sessionAnswers(
    evidenceOf(planFor([brighter]), ballots),
    brighter,
    labelled(label, swapped),
  );
}

describe("Questions that sessions share", () => {
  const slugOf = (endpoint: Endpoint) => questionSlug(questionOf(endpoint));

  it("are apart by method: a share who can tell is not the same thing in another one", () => {
    const slugs = [triangle, duoTrio, tetrad, brightest, brighter].map(slugOf);
    expect(slugs).toEqual([
      "overall-difference",
      "overall-difference-duo-trio",
      "overall-difference-tetrad",
      "attribute-difference-brightness",
      "direction-brightness",
    ]);
    expect(slugOf({ ...duoTrio, reference: "A" })).toBe(slugOf(duoTrio));
  });

  it("show each method's share by its own chance of guessing", () => {
    for (const [endpoint, guessing] of [
      [duoTrio, 1 / 2],
      [tetrad, 1 / 3],
      [brightest, 1 / 3],
    ] as const) {
      const ballots = seats(24).map((seat, i) => answered(endpoint, i < 18, { seat }));
      const session = sessionAnswers(
        evidenceOf(planFor([endpoint]), ballots),
        endpoint,
        labelled("s"),
      );
      const { pooled } = combineSessions([session], scaleOfEndpoint(endpoint));
      // Half an answer is added on either side: 18.5 of 25.
      expect(pooled?.value).toBeCloseTo((18.5 / 25 - guessing) / (1 - guessing), 12);
    }
  });

  it("leave out a 3-AFC that expected the other treatment: it can't be turned round", () => {
    const ofSession = (expected: "A" | "B", label: string, swapped = false) => {
      const endpoint = { ...brightest, expected };
      const ballots = seats(24).map((seat, i) => answered(endpoint, i < 18, { seat }));
      return sessionAnswers(
        evidenceOf(planFor([endpoint]), ballots),
        endpoint,
        labelled(label, swapped),
      );
    };
    const sessions = withContraryMarked([
      ofSession("B", "one"),
      // Under swapped letters it expected the same treatment.
      ofSession("A", "swapped", true),
      ofSession("A", "other"),
    ]);
    const { studies, leftOut } = combineSessions(
      sessions,
      scaleOf(questionOf(brightest), sessions),
    );
    expect(studies.map(({ label }) => label)).toEqual(["one", "swapped"]);
    expect(leftOut).toEqual([{ label: "other", refusal: "expected-other" }]);
  });

  it("speak for the side that was expected, and say it when people find more in the other", () => {
    const pooledOf = (expected: "A" | "B", right: number) => {
      const endpoint = { ...brightest, expected };
      const ballots = seats(60).map((seat, i) => answered(endpoint, i < right, { seat }));
      const evidence = evidenceOf(planFor([endpoint]), ballots);
      const sessions = [sessionAnswers(evidence, endpoint, labelled("s"))];
      const combined = combineSessions(sessions, scaleOf(questionOf(endpoint), sessions));
      const topic = { kind: endpoint.kind, attribute: "brightness", towards: "Pot" } as const;
      return {
        combined,
        said: combinedSentence(combined, topic),
        sure: surenessSentence(combined),
      };
    };
    const more = pooledOf("B", 50);
    expect(more.combined.pooled?.value).toBeGreaterThan(0.6);
    expect(more.said).toMatch(/^One session so far: \d+ people in 100 find more brightness in Pot/);
    const less = pooledOf("A", 50);
    expect(less.combined.pooled?.value).toBeCloseTo(-(more.combined.pooled?.value ?? 0), 12);
    expect(less.combined.pooled?.lower).toBeLessThan(less.combined.pooled?.upper ?? 0);
    expect(less.said).toContain("find less brightness in Pot");
    // Half an answer is added on either side: 3 − 1 of the chance 1/3 of picking it.
    const wrongWay = pooledOf("B", 2);
    expect(wrongWay.combined.pooled?.value).toBeCloseTo((3 * 2.5) / 61 - 1, 12);
    expect(wrongWay.said).toContain("find less brightness in Pot");
    expect(wrongWay.sure).toContain("is clear of no difference");
  });
});

describe("Sessions combined", () => {
  it("give the published random-effects results of the BCG trials", () => {
    // Viechtbauer (2010), J. Stat. Software 36(3), p. 14 (data of Colditz et al. 1994), REML:
    // −0.7145, τ² 0.3132, Q(12) 152.2330. Log risk ratios combine as they are, like points.
    const found = combine(bcg, POINTS);
    expect(found.pooled?.value).toBeCloseTo(-0.7145, 4);
    expect((found.heterogeneity?.tau ?? 0) ** 2).toBeCloseTo(0.3132, 4);
    expect(found.heterogeneity?.q).toBeCloseTo(152.233, 3);
    expect(found.heterogeneity?.df).toBe(12);
    // Hartung–Knapp interval, t with 12 df: −1.10844371 to −0.32062097, computed in Python (numpy,
    // scipy) from the same τ².
    expect(found.pooled?.lower).toBeCloseTo(-1.10844371, 6);
    expect(found.pooled?.upper).toBeCloseTo(-0.32062097, 6);
    expect(found.studies.reduce((sum, { weightPercent }) => sum + weightPercent, 0)).toBeCloseTo(
      100,
      10,
    );
  });

  it("expect of a new session what t with k − 2 degrees of freedom says", () => {
    // Higgins, Thompson & Spiegelhalter (2009): mean ± t(k−2) √(τ² + SE²); t(11) at 97.5 % 2.200985,
    // from a t table; τ² 0.313243, SE 0.180792.
    const { prediction } = combine(bcg, POINTS);
    const half = 2.200985 * Math.sqrt(0.3132432 + 0.18079174 ** 2);
    expect(prediction?.lower).toBeCloseTo(-0.71453234 - half, 4);
    expect(prediction?.upper).toBeCloseTo(-0.71453234 + half, 4);
    expect(combine(bcg.slice(0, 2), POINTS).prediction).toBeNull();
    expect(combine(bcg.slice(0, 1), POINTS).heterogeneity).toBeNull();
  });

  it("are no surer for agreeing by luck: three alike keep the error of their own answers", () => {
    // Three sessions alike: the average has a third of their variance, t(2) at 97.5 % is 4.302653 and
    // t(1) 12.706205, from a t table.
    const alike = ["a", "b", "c"].map((label) => ({
      label,
      answers: 10,
      effect: 1,
      variance: 0.3,
    }));
    const { pooled, prediction } = combine(alike, POINTS);
    expect(pooled?.lower).toBeCloseTo(1 - 4.302653 * Math.sqrt(0.1), 5);
    expect(prediction?.upper).toBeCloseTo(1 + 12.706205 * Math.sqrt(0.1), 5);
  });

  it("add up picks as log odds, half an answer on either side", () => {
    // ln(15.5/5.5) and 1/15.5 + 1/5.5: Haldane (1956) and Anscombe (1956), by hand.
    const found = sessionEffect(pickSession(15, 20));
    expect(found).toMatchObject({ ok: true, answers: 20 });
    expect(found.ok && found.effect).toBeCloseTo(1.0360919, 6);
    expect(found.ok && found.variance).toBeCloseTo(0.24633431, 7);
    const { pooled } = combineSessions([pickSession(15, 20)], LEAN);
    expect(pooled?.value).toBeCloseTo((2 * 15.5) / 21 - 1, 10);
  });

  it("take a unanimous session in, and luck below chance as it is", () => {
    const found = sessionEffect(pickSession(20, 20));
    expect(found.ok && Number.isFinite(found.effect + found.variance)).toBe(true);
    const wrong = seats(12).map((seat) => triad(false, { seat }));
    const session = sessionAnswers(evidenceOf(planFor([triangle]), wrong), triangle, labelled("s"));
    expect(combineSessions([session], TRIANGLES).pooled?.value).toBeLessThan(0);
  });

  it("mirror when the treatments are swapped, but a triangle has no side", () => {
    const one = combineSessions([pickSession(15, 20, "s", true)], LEAN).pooled?.value;
    expect(one).toBeCloseTo(1 - (2 * 15.5) / 21, 10);
    const right = seats(12).map((seat, i) => triad(i < 8, { seat }));
    const evidence = evidenceOf(planFor([triangle]), right);
    const both = [false, true].map((swapped) =>
      combineSessions([sessionAnswers(evidence, triangle, labelled("s", swapped))], TRIANGLES),
    );
    expect(both[0]?.pooled).toEqual(both[1]?.pooled);
  });

  it("count tasters who repeat as people, not as answers", () => {
    // Twelve people who answer alike all four times: the design effect is 4 · 12/11 (Rao & Scott
    // 1992, with the usual n/(n − 1)), by hand.
    const people = Array.from({ length: 12 }, (_, i) => ({ picked: i < 8 ? 4 : 0, answers: 4 }));
    const once = { more: 32.5, less: 16.5 };
    const found = logOddsOf(people);
    expect(found.ok && found.variance).toBeCloseTo(
      ((1 / once.more + 1 / once.less) * 4 * 12) / 11,
      10,
    );
    const even = Array.from({ length: 12 }, () => ({ picked: 2, answers: 4 }));
    const never = logOddsOf(even);
    expect(never.ok && never.variance).toBeCloseTo(2 / 24.5, 10);
  });

  it("take scores and yields as points, with the variance of their mean", () => {
    // Student's sleep data in tenths of hours (Student 1908, Biometrika 6; R's data set `sleep`):
    // mean difference 15.8, SD 12.29995 → variance of the mean 15.12889.
    const [a, b] = [
      [7, -16, -2, -12, -1, 34, 37, 8, 0, 20],
      [19, 8, 11, 1, -1, 44, 55, 16, 46, 34],
    ];
    const ballots = seats(10).map((seat, i) =>
      scored((a?.[i] ?? 0) + 20, (b?.[i] ?? 0) + 20, { seat }),
    );
    const session = sessionAnswers(
      evidenceOf(planFor([sweetness]), ballots),
      sweetness,
      labelled("s"),
    );
    const found = sessionEffect(session);
    expect(found.ok && found.effect).toBeCloseTo(15.8, 10);
    expect(found.ok && found.variance).toBeCloseTo(15.12889, 5);
    const brewed = [0.2, 0.4, 0.9].flatMap((more, i) =>
      pots({ pair: i + 1, yieldA: 20, yieldB: 20 + more }),
    );
    const yields = sessionAnswers(
      evidenceOf(planFor([extractionYield]), [], brewed),
      extractionYield,
      labelled("s"),
    );
    expect(combineSessions([yields], YIELDS).pooled?.value).toBeCloseTo(0.5, 6);
  });

  it("leave out what has no measure of its own error, and say so", () => {
    const lonely = sessionAnswers(
      evidenceOf(planFor([extractionYield]), [], pots({ yieldA: 20, yieldB: 21 })),
      extractionYield,
      labelled("one pair"),
    );
    const { pooled, leftOut } = combineSessions([lonely], YIELDS);
    expect(pooled).toBeNull();
    expect(leftOut).toEqual([{ label: "one pair", refusal: "too-few" }]);
    expect(combineSessions([pickSession(0, 0, "empty")], LEAN).leftOut).toEqual([
      { label: "empty", refusal: "no-answers" },
    ]);
  });
});

describe("Coffees and roasts", () => {
  const plan = {
    ...planFor([brighter], ["Sallow", "Cinder"]),
    coffees: [
      { id: "c1", name: "Sallow", roast: "light" },
      { id: "c2", name: "Cinder", roast: "dark" },
    ],
  };
  const ballots = seats(20).flatMap((seat, i) => [
    pick(i < 16 ? "B" : "A", { seat, coffee: "c1" }),
    pick(i < 6 ? "B" : "A", { seat, coffee: "c2" }),
  ]);
  const session = (label: string) =>
    sessionAnswers(evidenceOf(plan, ballots), brighter, labelled(label));

  it("combine each by itself, over sessions, by name whatever their case", () => {
    const second = { ...session("2"), coffees: [{ id: "c1", name: " sallow ", roast: "Light" }] };
    const groups = byCoffee([session("1"), second], LEAN);
    expect(groups.map(({ name, combined }) => [name, combined.studies.length])).toEqual([
      ["Sallow", 2],
      ["Cinder", 1],
    ]);
    expect(groups[0]?.combined.pooled?.value).toBeCloseTo((2 * 16.5) / 21 - 1, 10);
    expect(groups[1]?.combined.pooled?.value).toBeCloseTo((2 * 6.5) / 21 - 1, 10);
    expect(byRoast([session("1"), second], LEAN).map(({ name }) => name)).toEqual([
      "light",
      "dark",
    ]);
  });
});

describe("Combining is called planned", () => {
  const times = (sealedAt: string, unblindedAt: string) => ({ sealedAt, unblindedAt });

  it("only when every session was sealed before any result could be known", () => {
    const first = times("2026-03-02T09:00:00Z", "2026-03-02T12:00:00Z");
    const before = times("2026-03-02T11:00:00Z", "2026-03-05T12:00:00Z");
    const later = times("2026-03-03T09:00:00Z", "2026-03-04T12:00:00Z");
    expect(combinedAsPlanned([first, before])).toEqual({ planned: true, afterResult: 0 });
    expect(combinedAsPlanned([first, before, later])).toEqual({ planned: false, afterResult: 1 });
  });
});
