import { z } from "zod";
import { SHORTEST_PASSPHRASE } from "../passphrase.ts";
import { leadName } from "./lead-name.ts";

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
    name: leadName,
    ...passphraseFields,
  })
  .refine(same.check, same.complaint);
/** What a lead gives who lost the passphrase. */
export const resetSchema = z.object(passphraseFields).refine(same.check, same.complaint);
