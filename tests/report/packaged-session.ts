import { below, seedFromText, stream } from "../../src/design/random.ts";
import type { Evidence, UnblindedBallot } from "../../src/report/evidence.ts";
import { evidenceOf, pick, planFor, pots, scored, seats, triad } from "./sessions.ts";

/**
 * A session with every kind of question over two coffees, drawn from a fixed seed, with all that a
 * package must carry: can't-tell answers, a voided set, controls, brews, and text that a spreadsheet
 * could take for a formula.
 */
export const packagedSession: Evidence = (() => {
  const random = stream(seedFromText("a session to be packed"), "answers");
  const chance = (percent: number) => below(random, 100) < percent;
  const plan = planFor(
    [
      { id: "e1", role: "primary", kind: "overall-difference", method: "triangle", margin: 0.3 },
      { id: "e2", role: "secondary", kind: "preference", margin: 0.3 },
      {
        id: "e3",
        role: "exploratory",
        kind: "attribute-score",
        attribute: "sweetness",
        lowAnchor: "none",
        highAnchor: "very",
        margin: 10,
      },
    ],
    ["Bramble", "Sallow"],
    {
      tasters: 24,
      cannotTellAllowed: true,
      controls: { samePot: 1, sameTreatmentPairsPerCoffee: 0 },
      serving: { palateRestSeconds: 45, servingFromMinutes: 5, windowMinutes: 20 },
    },
  );
  const ballots = seats(24).flatMap((name, index): UnblindedBallot[] => {
    // Random ids may begin with what a spreadsheet takes for a formula.
    const seat = index === 0 ? "-formula" : index === 1 ? "'quoted" : name;
    return ["c1", "c2"].flatMap((coffee) => [
      triad(chance(60), { seat, coffee }),
      pick(chance(10) ? "cannot-tell" : chance(65) ? "B" : "A", { seat, coffee, endpointId: "e2" }),
      scored(30 + below(random, 40), 35 + below(random, 40), { seat, coffee, endpointId: "e3" }),
      triad(chance(33), { seat, coffee, control: "same-pot" }),
    ]);
  });
  const [first, second] = ballots;
  if (first) first.voidReason = "codes mixed up, \"417\" and '233'";
  if (second) {
    second.secondsOnScreen = 31;
    second.secondsRested = 12;
    second.answeredAt = "2026-03-02T09:58:30.000Z";
  }
  const brewed = ["c1", "c2"].flatMap((coffee) =>
    pots({
      coffee,
      yieldA: 19.1 + below(random, 100) / 300,
      yieldB: 19.7 + below(random, 100) / 300,
    }),
  );
  const [pot] = brewed;
  if (pot?.brew) {
    pot.brew = {
      ...pot.brew,
      refractometerZero: "pure-water",
      heldMinutes: 6.5,
      servedCelsius: 61.5,
    };
  }
  return {
    ...evidenceOf(plan, ballots, brewed),
    pourings: [
      { coffeeId: "c1", pair: 1, pouredAt: "2026-03-02T09:20:00.000Z" },
      { coffeeId: "c1", pair: 1, pouredAt: "2026-03-02T09:55:10.000Z" },
    ],
    blind: {
      openedEarly: [],
      leadSawSheets: [{ at: "2026-03-02T09:00:00.000Z", sheet: "pour" }],
    },
  };
})();
