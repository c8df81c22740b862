import { z } from "zod";
import { SHORTEST_PASSPHRASE } from "../passphrase.ts";

const passphraseFields = {
  passphrase: z
    .string()
    .min(
      SHORTEST_PASSPHRASE,
      `Use at least ${SHORTEST_PASSPHRASE} characters; a few words are good`,
    )
    .max(200, "Use at most 200 characters"),
  again: z.string(),
};
const same = {
  check: (form: { passphrase: string; again: string }) => form.passphrase === form.again,
  complaint: { path: ["again"], message: "The two passphrases differ; type the same one twice" },
};
/** What a new lead gives. */
export const newLeadSchema = z
  .object({
    name: z
      .string()
      .trim()
      .min(1, "Say what colleagues call you")
      .max(60, "Use at most 60 characters"),
    ...passphraseFields,
  })
  .refine(same.check, same.complaint);
/** What a lead gives who lost the passphrase. */
export const resetSchema = z.object(passphraseFields).refine(same.check, same.complaint);
