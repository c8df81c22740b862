import type { SeatProgress } from "../store/progress.ts";
import { counted } from "./plan-words.ts";
import { waitingSets } from "./room-view.ts";

/** How far the room is when a lead is about to close: one sentence, and the seats that miss sets. */
export interface ClosingWords {
  /** Whether the sentence is of something that closing makes final. */
  warns: boolean;
  sentence: string;
  unfinished: { seat: number; missing: string }[];
}

/** Says of every room what is true of it: empty, unfinished, finished, or with seats that withdrew. */
export function closingWords(seats: readonly SeatProgress[]): ClosingWords {
  const taken = seats.filter(({ status }) => status !== "free");
  const unfinished = taken.filter((seat) => waitingSets(seat) > 0).map(missing);
  const withdrawn = taken.filter(hasWithdrawn);
  if (taken.length === 0) return warning("Nobody has taken a seat, so no answer has come in.");
  if (withdrawn.length === taken.length) {
    return warning("Everyone who took a seat has withdrawn, so no answer is left.");
  }
  if (unfinished.length > 0) {
    const sentence =
      "Not everyone has finished. What is missing stays missing; nothing is guessed in its place.";
    return { warns: true, sentence, unfinished };
  }
  if (withdrawn.length > 0) {
    const sentence = `${counted(withdrawn.length, "seat")} withdrew and took the answers along. Everyone else who took a seat has finished.`;
    return { warns: false, sentence, unfinished };
  }
  return { warns: false, sentence: "Everyone who took a seat has finished.", unfinished };
}

function warning(sentence: string): ClosingWords {
  return { warns: true, sentence, unfinished: [] };
}

/** Withdrawing voids every set of a seat; who only left keeps what was saved. */
function hasWithdrawn({ status, sets }: SeatProgress): boolean {
  return status === "left" && sets.every(({ state }) => state === "void");
}

/** What a seat that was taken still owes, or no longer will. */
function missing(seat: SeatProgress): { seat: number; missing: string } {
  const left = seat.status === "left" ? "; left" : "";
  return { seat: seat.seat, missing: `${counted(waitingSets(seat), "set")} missing${left}` };
}
