import { describe, expect, it } from "vitest";
import { type BallotForm, readAnswers } from "../../src/experiment/ballot.ts";
import { type Endpoint, methodOf, setOf } from "../../src/experiment/endpoint.ts";
import { planSchema } from "../../src/experiment/plan.ts";
import { cupsPerTaster, setRequests } from "../../src/experiment/served-sets.ts";
import { methods } from "../../src/statistics/discrimination.ts";
import { brighter, brightest, duoTrio, planFor, tetrad, triangle } from "../report/sessions.ts";

const complaintsAbout = (...endpoints: unknown[]) => {
  const read = planSchema.safeParse({ ...planFor([]), endpoints });
  return read.success
    ? []
    : read.error.issues.map(({ path, message }) => [path.join("."), message]);
};

describe("The sets of a plan", () => {
  it.each([
    [triangle, [{ kind: "triangle" }], 3],
    [tetrad, [{ kind: "tetrad" }], 4],
    [duoTrio, [{ kind: "duo-trio", reference: "balanced" }], 3],
    [
      { ...duoTrio, reference: "B" } as const,
      [{ kind: "duo-trio", reference: "constant", referenceTreatment: "B" }],
      3,
    ],
    [{ ...brightest, expected: "A" } as const, [{ kind: "three-afc", oddTreatment: "A" }], 3],
    [brighter, [{ kind: "ab" }], 2],
  ] as [Endpoint, unknown, number][])("%o", (endpoint, requests, cups) => {
    const plan = planFor([endpoint], ["Bramble", "Sallow"], {
      controls: { samePot: 1, sameTreatmentPairsPerCoffee: 0 },
    });
    expect(complaintsAbout(endpoint)).toEqual([]);
    expect(setRequests(plan)).toEqual(requests);
    expect(cupsPerTaster(plan)).toBe(3 * cups);
  });

  it("a duo-trio names its reference, and nothing else does", () => {
    const { reference: _, ...without } = duoTrio;
    expect(complaintsAbout(without)).toEqual([
      ["endpoints.0.reference", "Say which treatment is the reference of the duo-trio"],
    ]);
    expect(complaintsAbout({ ...tetrad, reference: "A" })).toEqual([
      ["endpoints.0.reference", "Only a duo-trio has a reference"],
    ]);
  });

  it("three cups need an expectation, and one for all their questions", () => {
    expect(complaintsAbout({ ...brightest, expected: null })).toEqual([
      [
        "endpoints.0.expected",
        "With three cups, say beforehand which treatment is expected to have more",
      ],
    ]);
    const second = { ...brightest, id: "e2", role: "secondary", attribute: "body", expected: "A" };
    expect(complaintsAbout(brightest, second)).toEqual([
      [
        "endpoints.1.expected",
        "Questions to three cups share their trays: expect the same treatment to have more in each",
      ],
    ]);
    expect(complaintsAbout(brightest, { ...second, expected: "B" })).toEqual([]);
  });

  it("every forced choice names a method of the statistics, with as many cups", () => {
    for (const endpoint of [triangle, tetrad, duoTrio, brightest, brighter]) {
      const [sequence = ""] = methods[methodOf(endpoint)].sequences;
      const sets = { triangle: 3, "duo-trio": 3, tetrad: 4, "three-afc": 3, ab: 2 };
      expect(sequence).toHaveLength(sets[setOf(endpoint) ?? "ab"]);
    }
  });
});

describe("An answer to a set", () => {
  const codes = ["274", "618", "935", "527"];
  const form = (endpoint: Endpoint, cups: number): BallotForm => ({
    set: setOf(endpoint) ?? "ab",
    questions: [endpoint],
    codes: codes.slice(0, cups),
    cannotTellAllowed: true,
  });

  it.each([
    [triangle, 3, ["274", "618", "935"]],
    [brightest, 3, ["274", "618", "935"]],
    [duoTrio, 3, ["618", "935"]],
    [tetrad, 4, ["618", "935", "527"]],
    [brighter, 2, ["274", "618"]],
  ] as [Endpoint, number, string[]][])(
    "names a cup that can be chosen: %o",
    (endpoint, cups, can) => {
      const named = codes.filter((code) => readAnswers(form(endpoint, cups), { e1: code }).ok);
      expect(named).toEqual(can);
    },
  );

  it("is forced where it is right or wrong: guessers belong to the test (ISO 4120)", () => {
    const passes = [triangle, duoTrio, tetrad, brightest, brighter].map(
      (endpoint) => readAnswers(form(endpoint, 4), { e1: "cannot-tell" }).ok,
    );
    expect(passes).toEqual([false, false, false, false, true]);
  });
});
