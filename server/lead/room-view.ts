import type { SeatProgress } from "../store/progress.ts";
import { counted } from "./plan-words.ts";

/** The room as the grid draws it: who sits, what is saved; nothing of any answer. */
export interface RoomView {
  summary: string;
  columns: number[];
  rows: { seat: number; status: string; cells: { state: string; label: string }[] }[];
}

/** Draws the grid from each seat's progress. */
export function roomView(seats: readonly SeatProgress[]): RoomView {
  const columns = Math.max(0, ...seats.map(({ sets }) => sets.length));
  return {
    summary: progressText(seats),
    columns: columnsOf(columns),
    rows: seats.map(({ seat, status, sets }) => ({
      seat,
      status,
      cells: columnsOf(columns).map((_, at) => {
        // A seat that was served a set again has one more than the others.
        const state = sets[at]?.state;
        return state === undefined
          ? { state: "none", label: "" }
          : { state, label: cellLabel(status, state) };
      }),
    })),
  };
}

function columnsOf(count: number): number[] {
  return Array.from({ length: count }, (_, at) => at + 1);
}

/** Nobody is awaited on a free seat, nor after leaving. */
function cellLabel(status: SeatProgress["status"], state: string): string {
  return status !== "tasting" && state === "waiting" ? "–" : state;
}

/**
 * Seats taken, and sets saved of those that the seats taken were planned to have. Sets that became
 * void stay among those, and one served again takes its place, so that only joining changes the whole.
 */
export function progressCounts(seats: readonly SeatProgress[]) {
  const taken = seats.filter(({ status }) => status !== "free");
  const sets = taken.flatMap((seat) => seat.sets);
  const expected = sets.filter(({ repeats }) => !repeats).length;
  const saved = sets.filter(({ state }) => state === "saved").length;
  return { seats: seats.length, taken: taken.length, expected, saved };
}

/**
 * The same in words, counted as the grid shows them: every set of a seat that was taken, with those
 * served again beside those that were planned, and what became of sets that won't be saved.
 */
export function progressText(progress: readonly SeatProgress[]): string {
  const { seats, taken, expected, saved } = progressCounts(progress);
  const joined = `${taken} of ${counted(seats, "seat")} taken`;
  if (taken === 0) return `${joined}; nobody has joined yet`;
  const sets = progress.filter(({ status }) => status !== "free").flatMap((seat) => seat.sets);
  const again = sets.length - expected;
  const gone = sets.filter(({ state }) => state === "void").length;
  const abandoned = progress
    .filter(({ status }) => status === "left")
    .reduce((total, seat) => total + waitingSets(seat), 0);
  const rest = [
    ...(again > 0 ? [` (${expected} planned, ${again} served again)`] : []),
    ...(gone > 0 ? [`, ${gone} void`] : []),
    ...(abandoned > 0 ? [`, ${abandoned} missing from seats that were left`] : []),
  ];
  return `${joined}; ${saved} of ${counted(sets.length, "set")} saved${rest.join("")}`;
}

/** Sets of a seat that nobody has answered, and that aren't void. */
export function waitingSets({ sets }: SeatProgress): number {
  return sets.filter(({ state }) => state === "waiting").length;
}
