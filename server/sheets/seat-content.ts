import type { Deps } from "../deps.ts";
import { joinLink } from "../join-code.ts";
import { inRounds } from "../rounds.ts";
import type { SealedSession } from "../sealed-session.ts";
import type { TrayCup } from "../store/sheets.ts";

/** One set as it is carried out. */
interface Tray {
  ordinal: number;
  /** Of pouring, as the labels name it: a code may stand on cups of two rounds. */
  round: number;
  cups: { position: number; code: string; reference: boolean }[];
}

/** A seat's trays in serving order, cups from left to right. */
export interface SeatTrays {
  seat: number;
  /** Beyond the planned tasters: for somebody who comes late. */
  spare: boolean;
  trays: Tray[];
}

/** A pot by the round that it is poured in. */
type PouredPot = { coffeeId: string; pair: number };

/**
 * Cups by seat and tray; `planned` is the number of tasters that surely come, `pots` are all of the
 * session's in order of brewing, by which rounds are numbered.
 */
export function seatTrays(
  cups: readonly TrayCup[],
  pots: readonly PouredPot[],
  planned: number,
): SeatTrays[] {
  const rounds = inRounds(pots);
  const roundOf = ({ coffeeId, pair }: PouredPot) =>
    rounds.find((round) => round.coffeeId === coffeeId && round.pair === pair)?.round ?? 0;
  const seats = new Map<number, SeatTrays>();
  for (const cup of cups) {
    const { seat, ordinal, position, code, reference } = cup;
    const own = seats.get(seat) ?? { seat, spare: seat > planned, trays: [] };
    seats.set(seat, own);
    if (own.trays.at(-1)?.ordinal !== ordinal) {
      own.trays.push({ ordinal, round: roundOf(cup), cups: [] });
    }
    own.trays.at(-1)?.cups.push({ position, code, reference });
  }
  return [...seats.values()];
}

/** The address that offers one seat to whoever scans its card. */
export function seatLink(deps: Pick<Deps, "publicUrl">, session: SealedSession, seat: number) {
  return `${joinLink(deps, session.sealed.joinCode)}?seat=${seat}`;
}
