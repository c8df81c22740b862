import { describe, expect, it } from "vitest";
import type { RightOrWrongEndpoint } from "../../src/experiment/endpoint.ts";
import type { Evidence } from "../../src/report/evidence.ts";
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
} from "./sessions.ts";
import {
  allowance,
  type Chance,
  claimsProcess,
  headlineDiffers,
  logistic,
  normal,
  PANELS,
  rateOf,
  saysDifference,
  saysWithin,
} from "./simulated-panels.ts";

/**
 * The truth of verdicts: simulated sessions through the whole analysis. Each rate is printed, and
 * held against alpha plus three standard errors of the simulation.
 */

const alpha = 0.05;
const LONG = 30 * 60_000;

function check(name: string, rate: number) {
  process.stdout.write(`  ${name}: ${(100 * rate).toFixed(2)} % of ${PANELS}\n`);
  expect(rate).toBeLessThanOrEqual(allowance(alpha));
}

const four = ["Sallow", "Petrel", "Bramble", "Anvil"];

/** Everyone answers every pair of every coffee once per repeat. */
function everyone<T>(
  design: { tasters: number; coffees: number; pairs: number; replicates: number },
  answer: (
    where: { seat: string; coffee: string; pair: number },
    taster: number,
    coffee: number,
  ) => T,
): T[] {
  const { tasters, coffees, pairs, replicates } = design;
  return seats(tasters).flatMap((seat, t) =>
    Array.from({ length: coffees * pairs * replicates }, (_, i) => {
      const c = Math.floor(i / (pairs * replicates));
      const pair = (Math.floor(i / replicates) % pairs) + 1;
      return answer({ seat, coffee: `c${c + 1}`, pair }, t, c);
    }),
  );
}

type Design = Parameters<typeof everyone>[0];

function session(
  endpoint: Parameters<typeof planFor>[0][number],
  design: Design,
  answer: Parameters<typeof everyone<Evidence["ballots"][number]>>[1],
  more: Parameters<typeof planFor>[2] = {},
): Evidence {
  const plan = planFor([endpoint], four.slice(0, design.coffees), {
    tasters: design.tasters,
    brewPairsPerCoffee: design.pairs,
    replicates: design.replicates,
    ...more,
  });
  return evidenceOf(plan, everyone(design, answer));
}

const guesses = (chance: Chance, p: number) => chance() < p;

describe("when nothing differs, a difference is said at most alpha of the time", {
  timeout: LONG,
}, () => {
  it("triangle, four coffees, each once", () => {
    const design = { tasters: 12, coffees: 4, pairs: 1, replicates: 1 };
    const rate = rateOf(
      1,
      (chance) => session(triangle, design, (where) => triad(guesses(chance, 1 / 3), where)),
      saysDifference,
    );
    check("triangle, no difference", rate);
  });

  it("triangle with repeats", () => {
    const design = { tasters: 8, coffees: 1, pairs: 2, replicates: 2 };
    const rate = rateOf(
      2,
      (chance) => session(triangle, design, (where) => triad(guesses(chance, 1 / 3), where)),
      saysDifference,
    );
    check("triangle with repeats, no difference", rate);
  });

  it("direction, tasters with leans of their own that cancel on average", () => {
    const design = { tasters: 12, coffees: 2, pairs: 2, replicates: 1 };
    const rate = rateOf(
      3,
      (chance) => {
        const own = seats(12).map(() => logistic(normal(chance)));
        return session(brighter, design, (where, t) =>
          pick(guesses(chance, own[t] ?? 0.5) ? "B" : "A", where),
        );
      },
      saysDifference,
    );
    check("direction, leaning tasters, no difference on average", rate);
  });

  it("scores, with tasters who spread their scores", () => {
    const design = { tasters: 12, coffees: 2, pairs: 1, replicates: 1 };
    const rate = rateOf(
      4,
      (chance) =>
        session(sweetness, design, (where) =>
          scored(scoreAround(chance, 50, 12), scoreAround(chance, 50, 12), where),
        ),
      saysDifference,
    );
    check("scores, no difference", rate);
  });

  it("extraction yield over eight brew pairs", () => {
    const rate = rateOf(5, (chance) => brews(chance, 0), saysDifference);
    check("yield, no difference", rate);
  });
});

/** The methods besides the triangle whose answers are right or wrong. */
const others = [
  { name: "duo-trio", endpoint: duoTrio, guessing: 1 / 2, tasters: 90 },
  { name: "tetrad", endpoint: tetrad, guessing: 1 / 3, tasters: 54 },
  { name: "3-AFC", endpoint: brightest, guessing: 1 / 3, tasters: 66 },
] as const;

describe.each(others)("$name", { timeout: LONG }, ({ name, endpoint, guessing, tasters }) => {
  it("says a difference at most alpha of the time when nothing differs", () => {
    const design = { tasters: 12, coffees: 4, pairs: 1, replicates: 1 };
    const play = (chance: Chance) =>
      session(endpoint, design, (where) => answered(endpoint, guesses(chance, guessing), where));
    check(`${name}, no difference`, rateOf(21, play, saysDifference));
    check(`headlines, ${name}`, rateOf(22, play, headlineDiffers));
  });

  it("says closeness at most alpha of the time at the margin", () => {
    const design = { tasters, coffees: 1, pairs: 1, replicates: 1 };
    const rightAt = guessing + (1 - guessing) * endpoint.margin;
    const play = (chance: Chance) =>
      session(endpoint, design, (where) => answered(endpoint, guesses(chance, rightAt), where));
    check(`${name} at the margin`, rateOf(23, play, saysWithin));
  });

  it("claims the process at most alpha of the time when pots differ by themselves alike", () => {
    const plan = planFor([endpoint], four.slice(0, 3), {
      tasters: 10,
      brewPairsPerCoffee: 2,
      controls: { samePot: 0, sameTreatmentPairsPerCoffee: 2 },
    });
    const play = (chance: Chance) => {
      const shares = Array.from({ length: 12 }, () => ownShare(chance, endpoint, guessing));
      const ballots = seats(10).flatMap((seat) =>
        shares.map((share, i) =>
          answered(endpoint, guesses(chance, share), {
            seat,
            coffee: `c${(i % 3) + 1}`,
            pair: Math.floor(i / 3) + 1,
            control: i >= 6 ? "same-treatment" : null,
          }),
        ),
      );
      return evidenceOf(plan, ballots);
    };
    check(`process claim, ${name}, pots vary`, rateOf(24, play, claimsProcess));
  });
});

/** How often a pair of pots is answered rightly by what is in the pots; in a 3-AFC either may have more. */
function ownShare(chance: Chance, { kind }: RightOrWrongEndpoint, guessing: number): number {
  if (kind === "overall-difference") return guessing + (1 - guessing) * 0.5 * chance();
  const single = Math.exp(0.8 * normal(chance));
  return single / (single + 2);
}

it("3-AFC says closeness at most alpha of the time when 30 % find more in the other cups", {
  timeout: LONG,
}, () => {
  const design = { tasters: 66, coffees: 1, pairs: 1, replicates: 1 };
  const play = (chance: Chance) =>
    session(brightest, design, (where) =>
      answered(brightest, guesses(chance, (1 / 3) * (1 - 0.3)), where),
    );
  check("3-AFC at the margin, the other way", rateOf(25, play, saysWithin));
});

describe("when pots vary by themselves, the process is claimed at most alpha of the time", {
  timeout: LONG,
}, () => {
  it("direction: 0.6 logit between pairs, eight pairs, twelve tasters", () => {
    const design = { tasters: 12, coffees: 4, pairs: 2, replicates: 1 };
    const play = (chance: Chance) => {
      const pairs = Array.from({ length: 8 }, () => logistic(0.6 * normal(chance)));
      return session(brighter, design, (where, _t, c) =>
        pick(guesses(chance, pairs[2 * c + where.pair - 1] ?? 0.5) ? "B" : "A", where),
      );
    };
    check("process claim, direction, pots vary", rateOf(6, play, claimsProcess));
  });

  it("scores: six points between pairs, six pairs, eight tasters", () => {
    const design = { tasters: 8, coffees: 3, pairs: 2, replicates: 1 };
    const play = (chance: Chance) => {
      const pairs = Array.from({ length: 6 }, () => 6 * normal(chance));
      return session(sweetness, design, (where, _t, c) => {
        const shift = pairs[2 * c + where.pair - 1] ?? 0;
        return scored(scoreAround(chance, 50, 10), scoreAround(chance, 50 + shift, 10), where);
      });
    };
    check("process claim, scores, pots vary", rateOf(7, play, claimsProcess));
  });

  it("triangle: test and control pairs of pots that differ alike", () => {
    const plan = planFor([triangle], four.slice(0, 3), {
      tasters: 10,
      brewPairsPerCoffee: 2,
      controls: { samePot: 0, sameTreatmentPairsPerCoffee: 2 },
    });
    const play = (chance: Chance) => {
      const shares = Array.from({ length: 12 }, () => 1 / 3 + (2 / 3) * 0.5 * chance());
      const ballots = seats(10).flatMap((seat) =>
        shares.map((share, i) =>
          triad(guesses(chance, share), {
            seat,
            coffee: `c${(i % 3) + 1}`,
            pair: Math.floor(i / 3) + 1,
            control: i >= 6 ? "same-treatment" : null,
          }),
        ),
      );
      return evidenceOf(plan, ballots);
    };
    check("process claim, triangle, pots vary", rateOf(8, play, claimsProcess));
  });

  it("yield: the same test decides the endpoint", () => {
    check(
      "process claim, yield",
      rateOf(9, (chance) => brews(chance, 0), claimsProcess),
    );
  });
});

describe("at the margin, closeness is said at most alpha of the time", { timeout: LONG }, () => {
  const rightAt = 1 / 3 + (2 / 3) * 0.3;

  it("triangle, each once", () => {
    const design = { tasters: 54, coffees: 1, pairs: 1, replicates: 1 };
    const play = (chance: Chance) =>
      session(triangle, design, (where) => triad(guesses(chance, rightAt), where));
    check("triangle at the margin", rateOf(10, play, saysWithin));
  });

  it("triangle, one bad coffee among three good ones", () => {
    const design = { tasters: 54, coffees: 4, pairs: 1, replicates: 1 };
    const play = (chance: Chance) =>
      session(triangle, design, (where, _t, c) =>
        triad(guesses(chance, c === 0 ? rightAt : 1 / 3), where),
      );
    check("triangle, one coffee at the margin", rateOf(11, play, saysWithin));
  });

  it("triangle with repeats, tasters alike", () => {
    const design = { tasters: 16, coffees: 1, pairs: 1, replicates: 4 };
    const play = (chance: Chance) =>
      session(triangle, design, (where) => triad(guesses(chance, rightAt), where));
    check("triangle with repeats at the margin, tasters alike", rateOf(12, play, saysWithin));
  });

  it.each([
    { tasters: 6, replicates: 8 },
    { tasters: 16, replicates: 4 },
    { tasters: 24, replicates: 2 },
  ])("triangle, 30 % of people always tell: $tasters tasters, $replicates times each", (size) => {
    const design = { ...size, coffees: 1, pairs: 1 };
    const play = (chance: Chance) => {
      const own = seats(size.tasters).map(() => (chance() < 0.3 ? 1 : 1 / 3));
      return session(triangle, design, (where, t) => triad(guesses(chance, own[t] ?? 0), where));
    };
    const name = `triangle, all-or-nothing tasters, ${size.tasters} × ${size.replicates}`;
    check(name, rateOf(19, play, saysWithin));
  });

  it("direction with repeats, 30 % of people always pick B", () => {
    const design = { tasters: 24, coffees: 1, pairs: 1, replicates: 4 };
    const play = (chance: Chance) => {
      const own = seats(24).map(() => (chance() < 0.3 ? 1 : 1 / 2));
      return session(brighter, design, (where, t) =>
        pick(guesses(chance, own[t] ?? 0) ? "B" : "A", where),
      );
    };
    check("direction, all-or-nothing tasters, 24 × 4", rateOf(20, play, saysWithin));
  });

  it("direction, each once", () => {
    const design = { tasters: 60, coffees: 1, pairs: 1, replicates: 1 };
    const play = (chance: Chance) =>
      session(brighter, design, (where) => pick(guesses(chance, 0.65) ? "B" : "A", where));
    check("direction at the margin", rateOf(13, play, saysWithin));
  });

  it("scores, ten points apart", () => {
    const design = { tasters: 24, coffees: 1, pairs: 1, replicates: 1 };
    const play = (chance: Chance) =>
      session(sweetness, design, (where) =>
        scored(scoreAround(chance, 45, 8), scoreAround(chance, 55, 8), where),
      );
    check("scores at the margin", rateOf(14, play, saysWithin));
  });

  it("yield, half a point apart", () => {
    check(
      "yield at the margin",
      rateOf(15, (chance) => brews(chance, 0.5), saysWithin),
    );
  });
});

describe("headlines that say different, together, come at most alpha of the time", {
  timeout: LONG,
}, () => {
  const design = { tasters: 12, coffees: 4, pairs: 1, replicates: 1 };

  it.each(["after-overall", "split-alpha"] as const)(
    "direction, coffees claimed %s",
    (coffeeClaims) => {
      const play = (chance: Chance) =>
        session(brighter, design, (where) => pick(guesses(chance, 1 / 2) ? "B" : "A", where), {
          coffeeClaims,
        });
      check(`headlines, direction, ${coffeeClaims}`, rateOf(16, play, headlineDiffers));
    },
  );

  it.each(["after-overall", "split-alpha"] as const)(
    "triangle, coffees claimed %s",
    (coffeeClaims) => {
      const play = (chance: Chance) =>
        session(
          triangle,
          { ...design, tasters: 24 },
          (where) => triad(guesses(chance, 1 / 3), where),
          {
            coffeeClaims,
          },
        );
      check(`headlines, triangle, ${coffeeClaims}`, rateOf(17, play, headlineDiffers));
    },
  );

  it.each(["after-overall", "split-alpha"] as const)(
    "scores, coffees claimed %s",
    (coffeeClaims) => {
      const play = (chance: Chance) =>
        session(
          sweetness,
          design,
          (where) => scored(scoreAround(chance, 50, 12), scoreAround(chance, 50, 12), where),
          { coffeeClaims },
        );
      check(`headlines, scores, ${coffeeClaims}`, rateOf(18, play, headlineDiffers));
    },
  );
});

/** A whole point of the scale around a mean. */
function scoreAround(chance: Chance, mean: number, sd: number): number {
  return Math.min(100, Math.max(0, Math.round(mean + sd * normal(chance))));
}

/** Eight brew pairs by two brewers who swapped, one of them extracting 0.4 points more. */
function brews(chance: Chance, shift: number): Evidence {
  const endpoint = { ...extractionYield, id: "e1", role: "primary" as const };
  const plan = planFor([endpoint], four, {
    brewPairsPerCoffee: 2,
    brewers: ["North", "South"],
  });
  const logged = four.flatMap((_, c) =>
    [1, 2].flatMap((pair) => {
      const northMakesA = pair === 1;
      const noise = () => 0.25 * normal(chance);
      return pots({
        coffee: `c${c + 1}`,
        pair,
        yieldA: 20 + noise() + (northMakesA ? 0.4 : 0),
        yieldB: 20 + shift + noise() + (northMakesA ? 0 : 0.4),
        brewerOfA: northMakesA ? "North" : "South",
        brewerOfB: northMakesA ? "South" : "North",
      });
    }),
  );
  return evidenceOf(plan, [], logged);
}
