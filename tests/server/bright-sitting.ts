import { answerSet, joinAsTaster, sealSession, step } from "../../seed/play.ts";
import { trueSets } from "../../seed/truth.ts";
import { sessionById } from "../../server/store/sessions.ts";
import { type Plan, planSchema } from "../../src/experiment/plan.ts";
import type { House, Visitor } from "../app.ts";
import { examplePlan } from "../sealed-session.ts";

const TASTERS = 10;

/** Ten tasters, one coffee, one question: which of two cups is brighter. */
export function brightPlan(change: Partial<Plan> = {}): Plan {
  return planSchema.parse({
    ...examplePlan,
    coffees: examplePlan.coffees.slice(0, 1),
    endpoints: [
      {
        id: "e1",
        kind: "direction",
        role: "primary",
        attribute: "bright",
        expected: null,
        margin: 0.3,
      },
    ],
    tasters: TASTERS,
    spareSeats: 0,
    controls: { samePot: 0, sameTreatmentPairsPerCoffee: 0 },
    ...change,
  });
}

/** Seals a session under an experiment, lets it be answered over HTTP with so many picks of B, opens the key. */
export async function sit(
  house: House,
  lead: Visitor,
  experimentId: string,
  { name, picksOfB }: { name: string; picksOfB: number },
): Promise<string> {
  house.wait(60_000);
  const sessionId = await sealSession(lead, experimentId, {
    sessionName: name,
    heldOn: "2026-03-02",
  });
  await step(lead, sessionId, "opening");
  const joinCode = (await sessionById(house.deps.store, sessionId))?.sealed?.joinCode ?? "";
  const seated = new Map<number, Visitor>();
  for (const set of await trueSets(house.deps.store, sessionId)) {
    const taster =
      seated.get(set.seat) ?? (await joinAsTaster(house.app, joinCode, `T${set.seat}`));
    seated.set(set.seat, taster);
    const wanted = set.seat <= picksOfB ? "B" : "A";
    const chosen = set.cups.find(({ treatment }) => treatment === wanted)?.code ?? "";
    await answerSet(taster, set.ordinal, { e1: { chosen } });
  }
  house.wait(60_000);
  await step(lead, sessionId, "closure");
  await step(lead, sessionId, "unblinding");
  return sessionId;
}
