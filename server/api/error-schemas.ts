import { z } from "zod";

const issue = z.object({
  path: z.array(z.union([z.string(), z.number()])).describe("Keys and indexes from the root"),
  message: z.string(),
});

/** What a calculator answers with status 422. */
export const badInput = z
  .object({
    error: z.object({
      code: z.enum(["invalid-input", "invalid-json"]),
      message: z.string(),
      issues: z.array(issue).optional(),
    }),
  })
  .describe("The input is no JSON, or something in it is wrong");

/** What the door answers with status 404. */
export const unknownName = z
  .object({
    error: z.object({
      code: z.literal("unknown-calculator"),
      message: z.string(),
      nearest: z.string().describe("The known name that is closest"),
    }),
  })
  .describe("There is no calculator of this name");

/** What a calculator answers with status 503. */
export const notNow = z
  .object({ error: z.object({ code: z.enum(["too-long", "too-busy"]), message: z.string() }) })
  .describe(
    "The calculation takes too long for a shared server, or too many wait, four of one address or 200 in all",
  );
