import { z } from "zod";

/** What a lead is called here. */
export const leadName = z
  .string()
  .trim()
  .min(1, "Say what colleagues call you")
  .max(60, "Use at most 60 characters");

/** A lead's other name, on the page of colleagues. */
export const ownNameSchema = z.object({ ownName: leadName });

/** What is said at the name when it is somebody else's, or was. */
export const nameTaken = {
  "name-taken": "A lead has this name already; choose another",
  "name-was-taken":
    "A colleague who was removed had this name. Add a letter or a second name, so that records stay clear",
} as const;

/** Why a name with a bearer can't be given again. */
export function takenBy({ removed }: { removed: boolean }): keyof typeof nameTaken {
  return removed ? "name-was-taken" : "name-taken";
}
