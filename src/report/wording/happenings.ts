import { counted } from "./numbers.ts";

/** Kinds of event that a reader of the report is told of, each with its sentence for a count. */
const tellings: Readonly<Record<string, (count: number) => string>> = {
  "taster-withdrew": (count) =>
    `${counted(count, "taster")} withdrew before closing; their answers don't count.`,
  "incident-left": (count) =>
    `${counted(count, "taster")} left early; the sets they had locked count.`,
  "incident-late": (count) => `${counted(count, "taster")} came late.`,
  "incident-spill": (count) =>
    `${counted(count, "cup")} ${count === 1 ? "was" : "were"} poured anew from the same pot under a spare code.`,
  "incident-again": (count) =>
    `${counted(count, "set")} ${count === 1 ? "was" : "were"} served again after being voided.`,
  "incident-pause": (count) => `The tasting was paused ${counted(count, "time")}.`,
  "ballot-differs": (count) =>
    `${counted(count, "second answer")} that differed from the first ${count === 1 ? "was" : "were"} logged and not counted.`,
  "ballot-by-desk": (count) =>
    `${counted(count, "ballot")} ${count === 1 ? "was" : "were"} typed in at the desk.`,
  "pouring-corrected": (count) => `A time of pouring was corrected ${counted(count, "time")}.`,
  "seat-moved": (count) => `${counted(count, "seat")} moved to another phone.`,
};

/** What happened in the room, from the session's log; nothing when nothing did. */
export function happeningSentences(events: readonly { kind: string }[]): string[] {
  return Object.entries(tellings).flatMap(([kind, tell]) => {
    const count = events.filter((event) => event.kind === kind).length;
    return count === 0 ? [] : [tell(count)];
  });
}
