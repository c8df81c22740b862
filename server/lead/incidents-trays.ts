import type { IncidentForm } from "../../src/experiment/incident.ts";
import { seatComplaint } from "../seat-complaint.ts";
import { type TrayInRoom, voidPresentation } from "../store/incidents.ts";
import { codesAgain, replaceCode, replacementFor, serveAgain } from "../store/poured-anew.ts";
import { type Preparation, type Room, wrong } from "./incident-preparation.ts";
import { trayOf, trayWithCode } from "./incident-tray.ts";

/* Incidents on one tray. None needs to know, or shows, what a cup holds. */

/** A spilled cup: the same pot again, under a spare code. */
export async function spill(
  room: Room,
  { seat: number, code }: IncidentForm<"spill">,
): Promise<Preparation> {
  const found = await trayWithCode(room, number, code);
  if (!found.ok) return found;
  const { seatId, tray } = found;
  const where = { seatId, presentationId: tray.presentationId, code };
  const refusal = spillRefusal(tray);
  const newCode = refusal === null ? await replacementFor(room.db, where) : undefined;
  if (newCode === undefined) {
    return wrong("code", refusal ?? "This cup's pot has no spare code left: void the set instead");
  }
  return {
    ok: true,
    says: [
      `Seat ${number}, set ${tray.ordinal}: cup ${code} is poured anew as ${newCode}.`,
      `Take the spare label ${newCode} and ask whoever pours for it; the pour sheet knows its pot.`,
      `The phone shows ${newCode} in place of ${code} within seconds; without a network the tray is right and the old number is asked again.`,
    ],
    record: async (trx, { at }) => {
      await replaceCode(trx, { ...where, newCode, at });
      return { seatId, seat: number, ordinal: tray.ordinal, code, newCode };
    },
  };
}

function spillRefusal({ answered, voidReason }: TrayInRoom): string | null {
  if (voidReason !== null) return "The set of this cup is void: serve it again instead";
  return answered ? "The set of this cup has been answered, so nothing needs replacing" : null;
}

/** A set whose answer must not count, for a listed reason. */
export async function takeOut(
  room: Room,
  { seat: number, set, reason }: IncidentForm<"void">,
): Promise<Preparation> {
  const found = await trayOf(room, number, set);
  if (!found.ok) return found;
  const { seatId, tray } = found;
  if (tray.voidReason !== null) return wrong("set", "This set is void already");
  return {
    ok: true,
    says: [
      tray.answered
        ? `Seat ${number}, set ${set}: its answer is kept and does not count (${reason}).`
        : `Seat ${number}, set ${set} needs no answer any more (${reason}).`,
    ],
    record: async (trx) => {
      await voidPresentation(trx, tray.presentationId, reason);
      return { seatId, seat: number, ordinal: set, reason };
    },
  };
}

/** A voided set once more, from spare codes. */
export async function serveOnceMore(
  room: Room,
  { seat: number, set }: IncidentForm<"again">,
): Promise<Preparation> {
  const found = await trayOf(room, number, set);
  if (!found.ok) return found;
  const { seatId, status, tray } = found;
  if (status !== "tasting") return wrong("seat", seatComplaint(number, status));
  if (tray.voidReason === null)
    return wrong("set", "Only a void set is served again: void it first");
  if (tray.repeated) return wrong("set", "This set has been served again already");
  const again = await codesAgain(room.db, { seatId, presentationId: tray.presentationId });
  if (again === undefined) {
    return wrong("set", "Its pots have too few spare codes left; the set stays missing");
  }
  const { codes, cups } = again;
  return {
    ok: true,
    says: [
      `Seat ${number} gets set ${set} once more, as its last set, with the codes ${codes.join(", ")} from left to right.`,
      "Take those spare labels and ask whoever pours for them; the pour sheet knows their pots.",
    ],
    record: async (trx, { at, newId }) => {
      const { presentationId } = tray;
      const ordinal = await serveAgain(trx, { seatId, presentationId, codes, cups, at, newId });
      return { seatId, seat: number, repeats: set, ordinal, codes };
    },
  };
}
