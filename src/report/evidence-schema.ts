import { z } from "zod";
import { setKinds } from "../design/serving-orders.ts";
import { answersSchema } from "../experiment/ballot.ts";
import { brewRecordSchema, rejectionReasonSchema } from "../experiment/brew-log.ts";
import { treatmentSchema } from "../experiment/endpoint.ts";
import type { UnblindedBallot, UnblindedPot } from "./evidence.ts";

const cup = z.object({
  position: z.int().min(1),
  code: z.string(),
  potLetter: z.string(),
  treatment: treatmentSchema,
});

/** A ballot that comes from outside the program's own tables. */
export const unblindedBallotSchema = z.object({
  seatId: z.string(),
  ordinal: z.int(),
  coffeeId: z.string(),
  pair: z.int(),
  replicate: z.int(),
  control: z.enum(["same-pot", "same-treatment"]).nullable(),
  set: z.enum(setKinds),
  oddPosition: z.int().nullable(),
  fellowPosition: z.int().nullable().optional(),
  cups: z.array(cup),
  answers: answersSchema,
  submittedAt: z.string(),
  voidReason: z.string().nullable(),
}) satisfies z.ZodType<UnblindedBallot>;

/** A pot that comes from outside the program's own tables. */
export const unblindedPotSchema = z.object({
  coffeeId: z.string(),
  pair: z.int(),
  letter: z.string(),
  treatment: treatmentSchema,
  controlPair: z.boolean(),
  plannedBrewer: z.string(),
  brew: brewRecordSchema.nullable(),
  rejected: rejectionReasonSchema.nullable(),
}) satisfies z.ZodType<UnblindedPot>;
