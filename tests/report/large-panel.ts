import { below, seedFromText, stream } from "../../src/design/random.ts";
import type { Evidence } from "../../src/report/evidence.ts";
import { evidenceOf, pick, planFor, scored, triad } from "./sessions.ts";

/** Everyone answers a triangle, a preference and a score on each of three coffees, by lot. */
export function largePanel(tasters: number): Evidence {
  const random = stream(seedFromText("a large panel"), "answers");
  const coffees = ["c1", "c2", "c3"];
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
    ["Bramble", "Sallow", "Cinder"],
    { tasters: 300 },
  );
  const ballots = Array.from({ length: tasters }, (_, i) => `taster-${i}`).flatMap((seat) =>
    coffees.flatMap((coffee) => [
      triad(below(random, 100) < 40, { seat, coffee }),
      pick(below(random, 100) < 52 ? "B" : "A", { seat, coffee, endpointId: "e2" }),
      scored(below(random, 101), below(random, 101), { seat, coffee, endpointId: "e3" }),
    ]),
  );
  return evidenceOf(
    plan,
    ballots.map((ballot) => ({ ...ballot, secondsOnScreen: 10 + below(random, 60) })),
  );
}
