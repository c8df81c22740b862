import { z } from "zod";
import { mayTellNothing, scoreField } from "../../src/experiment/ballot.ts";
import type { Deps } from "../deps.ts";
import { type FieldErrors, fieldMaker, type RawForm, textOf } from "../form.ts";
import {
  type Questionnaire,
  questionnaire,
  type Seat,
  type Serving,
  seatByNumber,
  servingOf,
} from "../store/blind.ts";
import { readingOf } from "../store/paper-readings.ts";
import { wording } from "./ballot-form.ts";
import { deskRefusals } from "./desk-refusals.ts";
import type { Messages } from "./messages.ts";

/** A set whose answer comes on paper. */
export interface PaperBallot {
  seat: Seat;
  serving: Serving;
  asked: Questionnaire;
  /** A first reading waits for its second. */
  readOnce: boolean;
}

const whichSchema = z.object({
  seat: z.string().regex(/^[1-9]\d{0,3}$/, "Give the number of the seat"),
  set: z.string().regex(/^[1-9]\d{0,3}$/, "Give the number of the set, as the paper has it"),
});

type FoundBallot = { ok: true; ballot: PaperBallot } | { ok: false; errors: FieldErrors };

/** The set that a seat and its number name, if an answer to it can still come. */
export async function findBallot(
  deps: Deps,
  sessionId: string,
  values: RawForm,
): Promise<FoundBallot> {
  const which = whichSchema.safeParse({ seat: textOf(values, "seat"), set: textOf(values, "set") });
  if (!which.success) {
    const [issue] = which.error.issues;
    return { ok: false, errors: { [String(issue?.path[0])]: issue?.message ?? "" } };
  }
  const seat = await seatByNumber(deps.store, sessionId, Number(which.data.seat));
  if (seat === undefined) {
    return { ok: false, errors: { seat: `This session has no seat ${which.data.seat}` } };
  }
  if (seat.language === "") return { ok: false, errors: { seat: nobodyThere } };
  const serving = await servingOf(deps.store, seat.id, Number(which.data.set));
  const complaint = servingComplaint(seat, serving, which.data.set);
  if (serving === undefined || complaint !== null)
    return { ok: false, errors: { set: complaint ?? "" } };
  const asked = await questionnaire(deps.store, sessionId, null);
  const readOnce = (await readingOf(deps.store, serving.id)) !== undefined;
  return { ok: true, ballot: { seat, serving, asked, readOnce } };
}

const nobodyThere =
  "Nobody has joined on this seat. Whoever tastes on paper joins first, on any phone (the desk’s will do, in a private window for each taster): cautions and consent are recorded there";

function servingComplaint(seat: Seat, serving: Serving | undefined, set: string): string | null {
  if (serving === undefined) return `Seat ${seat.number} has no set ${set}`;
  if (seat.state === "sealed") return deskRefusals["not-open-yet"];
  if (seat.state !== "open") return deskRefusals.closed;
  if (serving.answered) return "This set has been answered already: the first answer stands";
  return serving.voided ? deskRefusals.voided : null;
}

/** The paper ballot as a form to type it into. */
export function paperForm(
  t: Messages,
  { seat, serving, asked, readOnce }: PaperBallot,
  values: RawForm,
  errors: FieldErrors,
) {
  const field = fieldMaker(values, errors);
  const passes = asked.cannotTellAllowed ? "; 000 for can’t tell" : "";
  return {
    seat: String(seat.number),
    set: String(serving.ordinal),
    codes: serving.codes.join(", "),
    second: readOnce,
    fields: asked.questions[serving.setKind].flatMap((question) => {
      const label = wording(t, question);
      if (question.kind !== "attribute-score") {
        const hint = `${codeWanted(serving)}${mayTellNothing(question) ? passes : ""}.`;
        return [field(question.id, label, { type: "whole", hint })];
      }
      return serving.codes.map((code) =>
        field(scoreField(question.id, code), `${label} Cup ${code}`, {
          type: "whole",
          hint: "0 to 100.",
        }),
      );
    }),
  };
}

function codeWanted({ setKind, codes: [first] }: Serving): string {
  return setKind === "tetrad" ? `Code of the cup in one group with ${first}` : "Code of the cup";
}
