import { type IncidentKind, voidReasons } from "../../src/experiment/incident.ts";
import { type Field, type FieldErrors, fieldMaker, type RawForm, textOf } from "../form.ts";
import type { Lead } from "../store/leads.ts";
import { type Select, selectMaker } from "./select.ts";

/** How a lead finds each incident: the room's button with its one line, and the form's headline. */
export const incidentNames: Record<
  IncidentKind,
  { button: string; purpose: string; title: string }
> = {
  late: {
    button: "Late",
    purpose: "Somebody comes after the start and wants a seat",
    title: "Somebody comes late",
  },
  left: {
    button: "Left",
    purpose: "A taster goes before their last set",
    title: "A taster leaves",
  },
  back: {
    button: "Back",
    purpose: "A taster who left sits down again",
    title: "A taster comes back",
  },
  spill: {
    button: "Spill",
    purpose: "A cup is lost: pour it anew under a spare code",
    title: "A cup is spilled",
  },
  "mix-up": {
    button: "Mix-up",
    purpose: "Two cups of one tray stood on each other’s codes",
    title: "Two cups of a tray were exchanged",
  },
  void: {
    button: "Void",
    purpose: "Something spoiled a set: its answer must not count",
    title: "A set must not count",
  },
  again: {
    button: "Again",
    purpose: "Serve a void set once more, from spare codes",
    title: "A void set is served again",
  },
  pause: {
    button: "Pause",
    purpose: "Take no answers for a while; phones keep them",
    title: "The tasting pauses",
  },
  resume: {
    button: "Go on",
    purpose: "End the pause: phones send what waited",
    title: "The tasting goes on",
  },
  note: {
    button: "Note",
    purpose: "Write down anything else that happened",
    title: "A note for the log",
  },
};

const fieldNames: Record<IncidentKind, readonly string[]> = {
  late: [],
  left: ["seat"],
  back: ["seat"],
  spill: ["seat", "code", "inWindow"],
  "mix-up": ["seat", "code", "otherCode", "resolution", "secondLead", "witness"],
  void: ["seat", "set", "reason"],
  again: ["seat", "set"],
  pause: [],
  resume: [],
  note: ["note"],
};

/** An incident without a form: it only asks whether to record it. */
export function asksNothing(kind: IncidentKind): boolean {
  return fieldNames[kind].length === 0;
}

/** The fields of an incident's form, filled with what was typed. */
export function incidentFields(
  kind: IncidentKind,
  room: { others: readonly Lead[]; windowMinutes: number | null },
  { values, errors }: { values: RawForm; errors: FieldErrors },
): (Field | Select)[] {
  const draw = drawers(kind, room, values, errors);
  return fieldNames[kind].map((name) => {
    const field = draw[name]?.();
    if (field === undefined) throw new Error(`There is no way to draw the field ${name}`);
    return field;
  });
}

/** What was typed, to go with the confirmation. */
export function keptValues(kind: IncidentKind, values: RawForm): { name: string; value: string }[] {
  return fieldNames[kind].map((name) => ({ name, value: textOf(values, name) }));
}

function drawers(
  kind: IncidentKind,
  { others, windowMinutes }: { others: readonly Lead[]; windowMinutes: number | null },
  values: RawForm,
  errors: FieldErrors,
): Record<string, () => Field | Select> {
  const field = fieldMaker(values, errors);
  const typed = Object.fromEntries(Object.keys(values).map((name) => [name, textOf(values, name)]));
  const select = selectMaker(typed, errors);
  return {
    seat: () => field("seat", "Seat", { type: "whole" }),
    set: () =>
      field("set", "Set", {
        type: "whole",
        hint: "As the phone numbers it, from 1 in serving order.",
      }),
    code: () =>
      field("code", kind === "spill" ? "Code on the spilled cup" : "Code on one cup", {
        type: "whole",
        hint: "Three digits.",
      }),
    otherCode: () => field("otherCode", "Code on the other cup", { type: "whole" }),
    inWindow: () =>
      select(
        "inWindow",
        "Is its pot still inside the serving window: hot enough, and not held too long?",
        [
          ["", "Choose"],
          ["yes", "Yes, pour from it"],
          ["no", "No"],
        ],
        `${windowMinutes === null ? "" : `The plan gives it ${windowMinutes} minutes from pouring. `}A colder cup beside fresh ones is a difference of its own.`,
      ),
    resolution: () =>
      select(
        "resolution",
        "What to do with the set",
        [
          ["", "Choose"],
          ["corrected", "Correct it: we know which two codes were exchanged"],
          ["voided", "Void it"],
        ],
        "Not answered yet? Then put the cups right on the tray instead: nothing needs recording.",
      ),
    secondLead: () =>
      select(
        "secondLead",
        "Second name",
        [
          ["", "Somebody else, named below"],
          ...others.map(({ id, name }): [string, string] => [id, name]),
        ],
        "A correction stands on two names: yours and one more.",
      ),
    witness: () =>
      field("witness", "Who else saw it", {
        hint: "Name or initials; kept apart from the log, so that it can be erased.",
      }),
    reason: () =>
      select(
        "reason",
        "Reason",
        [["", "Choose"], ...voidReasons.map((reason): [string, string] => [reason, reason])],
        "Only what happened to the set: what was answered is no reason.",
      ),
    note: () => field("note", "Note", { type: "long", hint: "No names: the log can't be erased." }),
  };
}
