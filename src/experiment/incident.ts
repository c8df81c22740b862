import { z } from "zod";
import { cupCodeSchema } from "./ballot.ts";
import type { SessionState } from "./session.ts";

/** What can go wrong, or has to be said, while a room tastes. */
export const incidentKinds = [
  "late",
  "left",
  "back",
  "spill",
  "mix-up",
  "void",
  "again",
  "pause",
  "resume",
  "note",
] as const;
export const incidentKindSchema = z.enum(incidentKinds);
export type IncidentKind = z.infer<typeof incidentKindSchema>;

/** What each incident does to the analysis: said before it is recorded, and true whatever was served. */
export const effects: Record<IncidentKind, string> = {
  late: "The next free seat is drawn from the same balanced stream as every other, so balance holds and late answers count like any. Sets that the others have finished can still be answered; what is missed stays missing.",
  left: "Sets that were locked count. Sets that were not stay missing, and nothing is filled in for them. The report says how many answers came of how many planned.",
  back: "The seat can answer again. Nothing that was recorded changes.",
  spill:
    "The cup is poured anew from its own pot under a spare code, so the set counts as if nothing had happened. Only the code changes, on the phone and in the key.",
  "mix-up":
    "The report analyses the session three times: as scored under the sealed key, with the two codes exchanged, and without the set. The weakest of the three leads; the most favourable one never does. The sealed key stays as it is beside the correction.",
  void: "The set's answer does not count. The report lists it under its reason and repeats the analysis with it put back.",
  again:
    "The voided set is served again from spare codes, at the end of this seat's list. Its new answer counts; the voided one stays out.",
  pause:
    "No answer is taken until the session goes on. Phones say so and keep what has been answered. Nothing is lost, and the time of the pause is in the log.",
  resume: "Phones send what waited on them, and answers count as before.",
  note: "Nothing in the analysis changes. The note stands in the log, which cannot be edited.",
};

const when: Record<IncidentKind, readonly SessionState[]> = {
  late: ["sealed", "open"],
  left: ["open"],
  back: ["open"],
  spill: ["sealed", "open"],
  "mix-up": ["open", "closed"],
  void: ["open", "closed"],
  again: ["open"],
  pause: ["open"],
  resume: ["open"],
  note: ["sealed", "open", "closed"],
};

/** Whether an incident can be recorded now; none can once the key is open. */
export function mayRecord(
  kind: IncidentKind,
  session: { state: SessionState; paused: boolean },
): boolean {
  if (kind === "pause" && session.paused) return false;
  if (kind === "resume" && !session.paused) return false;
  return when[kind].includes(session.state);
}

/** Why a mixed-up set was left out. */
export const MIXED_UP = "cups mixed up";

/** Reasons to void a set: what happened to it, never what was answered. */
export const voidReasons = [
  "spilled and not replaced",
  "served outside its window",
  MIXED_UP,
  "wrong pot or coffee",
  "answers were talked about",
  "taster unwell",
  "foreign smell or taste",
  "tray or phone failed",
] as const;

/** A whole number as it is typed. */
const typedCount = (ask: string) =>
  z
    .string(ask)
    .trim()
    .regex(/^[1-9]\d{0,3}$/, ask)
    .transform(Number);

const seat = typedCount("Give the number of the seat");
const set = typedCount("Give the number of the set, as the phone shows it");
const code = z.string("Type the three digits on the cup").trim().pipe(cupCodeSchema);

/** The fields of each incident's form. */
export const incidentForms = {
  late: z.object({}),
  left: z.object({ seat }),
  back: z.object({ seat }),
  spill: z.object({
    seat,
    code,
    inWindow: z.literal(
      "yes",
      "Only a pot inside its serving window can replace a cup; else void the set",
    ),
  }),
  "mix-up": z
    .object({
      seat,
      code,
      otherCode: code,
      resolution: z.enum(["corrected", "voided"], "Choose what to do with the set"),
      secondLead: z.string().default(""),
      witness: z.string().trim().max(60, "Keep it under 60 characters").default(""),
    })
    .refine(({ code, otherCode }) => code !== otherCode, {
      path: ["otherCode"],
      message: "Type the other of the two codes",
    })
    .refine((form) => form.resolution !== "corrected" || hasSecondName(form), {
      path: ["witness"],
      message: "A correction takes two names: choose another lead, or name who saw it",
    }),
  void: z.object({ seat, set, reason: z.enum(voidReasons, "Choose a reason from the list") }),
  again: z.object({ seat, set }),
  pause: z.object({}),
  resume: z.object({}),
  note: z.object({
    note: z
      .string("Write the note")
      .trim()
      .min(3, "Write the note")
      .max(300, "Keep it under 300 characters"),
  }),
} as const satisfies Record<IncidentKind, z.ZodType>;

export type IncidentForm<Kind extends IncidentKind> = z.output<(typeof incidentForms)[Kind]>;

function hasSecondName({ secondLead, witness }: { secondLead: string; witness: string }): boolean {
  return secondLead !== "" || witness !== "";
}
