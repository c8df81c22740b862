import { z } from "zod";
import { planSchema } from "../../src/experiment/plan.ts";
import { tallySchema } from "../../src/rehearsal/tally.ts";

const share = z.number().min(0).max(1);
const spread = z.number().min(0);

export const assumptionsSchema = z.strictObject({
  expectedEffect: z.number().min(0),
  guessers: share,
  leavers: share,
  sensitivitySd: spread,
  potSdLogit: spread,
  scorePoints: spread,
  yieldPoints: spread,
});

/** What the rehearsing thread is given. */
export const rehearsalJobSchema = z.strictObject({
  plan: planSchema,
  assumptions: assumptionsSchema,
  /** Panels a scenario. */
  panels: z.int().min(1),
  /** 32 bytes in hexadecimal, for the kit and the panels alike. */
  seedHex: z.string().regex(/^[0-9a-f]{64}$/),
});
export type RehearsalJob = z.infer<typeof rehearsalJobSchema>;

/** What the thread says: how far it is, or why the plan can't be rehearsed. */
export const rehearsalNewsSchema = z.union([
  z.strictObject({ tallies: z.array(tallySchema), done: z.boolean() }),
  z.strictObject({ cannotServe: z.string() }),
]);
export type RehearsalNews = z.infer<typeof rehearsalNewsSchema>;
