import type { ControlKind } from "../../src/report/evidence.ts";
import type { Store } from "./database.ts";

/** What a taster wrote about a set, without who wrote it. */
export interface SetComment {
  coffeeId: string;
  control: ControlKind | null;
  voided: boolean;
  /** Two of its cups stood on each other's codes. */
  mixedUp: boolean;
  /** In serving order, under the sealed key. */
  cups: { code: string; treatment: "A" | "B" }[];
  text: string;
}

/**
 * The comments of a session that nobody has erased, by the first code of their set, so that their
 * order says nothing of who wrote them. Call it only for a session that is unblinded.
 */
export async function commentsOf(db: Store, sessionId: string): Promise<SetComment[]> {
  const rows = await db
    .selectFrom("comments")
    .innerJoin("ballots", "ballots.id", "comments.ballot_id")
    .innerJoin("presentations", "presentations.id", "ballots.presentation_id")
    .innerJoin("presentation_keys", "presentation_keys.presentation_id", "presentations.id")
    .innerJoin("seats", "seats.id", "presentations.seat_id")
    .leftJoin("mix_ups", "mix_ups.presentation_id", "presentations.id")
    .innerJoin("cups", "cups.presentation_id", "presentations.id")
    .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
    .innerJoin("pot_keys", "pot_keys.pot_id", "cup_keys.pot_id")
    .select(["presentations.id", "presentations.void_reason as voidReason", "comments.text"])
    .select(["presentation_keys.coffee_id as coffeeId", "presentation_keys.control"])
    .select(["cups.code", "pot_keys.treatment", "mix_ups.code as exchanged"])
    .where("seats.session_id", "=", sessionId)
    .orderBy("presentations.id")
    .orderBy("cups.position")
    .execute();
  const sets = new Map<string, SetComment>();
  for (const { id, voidReason, exchanged, code, treatment, ...row } of rows) {
    const [voided, mixedUp] = [voidReason !== null, exchanged !== null];
    const set = sets.get(id) ?? { ...row, voided, mixedUp, cups: [] };
    set.cups.push({ code, treatment });
    sets.set(id, set);
  }
  return [...sets.values()].sort((one, other) => (codesIn(one) < codesIn(other) ? -1 : 1));
}

function codesIn({ cups }: SetComment): string {
  return cups.map(({ code }) => code).join(" ");
}
