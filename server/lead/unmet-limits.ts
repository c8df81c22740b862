import { coffeeName, type Plan } from "../../src/experiment/plan.ts";
import { brewLog } from "../store/brews.ts";
import type { Store } from "../store/database.ts";
import { breachesOf } from "./brew-pages.ts";

/** Pots that lie outside the sealed limits and whose pair nobody has rejected, in words. */
export async function unmetLimits(
  db: Store,
  sessionId: string,
  plan: Plan,
): Promise<{ potId: string; words: string }[]> {
  const pots = await brewLog(db, sessionId);
  return pots
    .filter((pot) => pot.rejected === null)
    .flatMap((pot) => {
      const findings = breachesOf(pot, pots, plan).map(({ finding }) => finding);
      if (findings.length === 0) return [];
      const name = `${coffeeName(plan, pot.coffeeId)}, pot ${pot.letter}`;
      return [{ potId: pot.potId, words: `${name}: ${findings.join(", ")}` }];
    });
}
