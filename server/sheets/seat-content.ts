import type { Deps } from "../deps.ts";
import { joinLink } from "../join-code.ts";
import type { SealedSession } from "../sealed-session.ts";
import type { TrayCup } from "../store/sheets.ts";

/** A seat's trays in serving order, cups from left to right. */
export interface SeatTrays {
  seat: number;
  /** Beyond the planned tasters: for somebody who comes late. */
  spare: boolean;
  trays: { ordinal: number; cups: { position: number; code: string; reference: boolean }[] }[];
}

/** Cups by seat and tray; `planned` is the number of tasters that surely come. */
export function seatTrays(cups: readonly TrayCup[], planned: number): SeatTrays[] {
  const seats = new Map<number, SeatTrays>();
  for (const { seat, ordinal, position, code, reference } of cups) {
    const own = seats.get(seat) ?? { seat, spare: seat > planned, trays: [] };
    seats.set(seat, own);
    if (own.trays.at(-1)?.ordinal !== ordinal) own.trays.push({ ordinal, cups: [] });
    own.trays.at(-1)?.cups.push({ position, code, reference });
  }
  return [...seats.values()];
}

/** The address that offers one seat to whoever scans its card. */
export function seatLink(deps: Pick<Deps, "publicUrl">, session: SealedSession, seat: number) {
  return `${joinLink(deps, session.sealed.joinCode)}?seat=${seat}`;
}
