import { type IncidentForm, MIXED_UP } from "../../src/experiment/incident.ts";
import {
  addMixUp,
  codesAgain,
  isMixedUp,
  replaceCode,
  replacementFor,
  type SeatInRoom,
  seatInRoom,
  serveAgain,
  type TrayInRoom,
  traysOfSeat,
  voidPresentation,
} from "../store/incidents.ts";
import { listLeads } from "../store/leads.ts";
import { type Preparation, type Room, seatComplaint, wrong } from "./incident-preparation.ts";

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

/** Two codes on each other's cups: corrected on two names, or voided. */
export async function mixUp(room: Room, form: IncidentForm<"mix-up">): Promise<Preparation> {
  const { seat: number, code, otherCode, resolution } = form;
  const found = await trayWithCode(room, number, code);
  if (!found.ok) return found;
  const { seatId, tray } = found;
  const complaint =
    (await mixUpComplaint(room, tray, form)) ?? (await secondNameComplaint(room, form));
  if (complaint !== null) return complaint;
  const what = `Seat ${number}, set ${tray.ordinal}: ${code} and ${otherCode} stood on each other's cups`;
  const corrected = resolution === "corrected";
  return {
    ok: true,
    says: [
      `${what}. ${corrected ? "The correction is recorded on two names." : "The set is voided."}`,
    ],
    record: async (trx, { at }) => {
      const names = secondName(form);
      await addMixUp(trx, {
        presentation_id: tray.presentationId,
        code,
        other_code: otherCode,
        resolution,
        recorded_at: at,
        recorded_by: room.leadId,
        ...names,
      });
      if (!corrected) await voidPresentation(trx, tray.presentationId, MIXED_UP);
      const body = { seatId, seat: number, ordinal: tray.ordinal, code, otherCode, resolution };
      // A witness is a person without an id: the name lies apart, where it can be erased.
      return { ...body, secondLead: names.second_lead_id, witnessed: names.witness !== null };
    },
  };
}

async function mixUpComplaint(room: Room, tray: TrayInRoom, form: IncidentForm<"mix-up">) {
  if (!tray.codes.includes(form.otherCode)) {
    return wrong("otherCode", `Cup ${form.otherCode} is not on the tray that holds ${form.code}`);
  }
  if (await isMixedUp(room.db, tray.presentationId)) {
    return wrong("code", "A mix-up of this set is in the log already");
  }
  return tray.voidReason === null ? null : wrong("code", "This set is void already");
}

async function secondNameComplaint(room: Room, { secondLead }: IncidentForm<"mix-up">) {
  if (secondLead === "") return null;
  if (secondLead === room.leadId) return wrong("secondLead", "A second name is another person's");
  const known = (await listLeads(room.db)).some(({ id }) => id === secondLead);
  return known ? null : wrong("secondLead", "Choose a lead from the list");
}

/** Who else stands for a correction: another lead by id, or a witness by name. */
function secondName({ resolution, secondLead, witness }: IncidentForm<"mix-up">) {
  if (resolution === "voided") return { second_lead_id: null, witness: null };
  return {
    second_lead_id: secondLead === "" ? null : secondLead,
    witness: witness === "" ? null : witness,
  };
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

type FoundTray =
  | { ok: true; seatId: string; status: SeatInRoom["status"]; tray: TrayInRoom }
  | ReturnType<typeof wrong>;

async function trayWithCode(room: Room, number: number, code: string): Promise<FoundTray> {
  return await findTray(room, number, {
    field: "code",
    complaint: `Seat ${number} has no cup ${code}; read the seat and the code again`,
    is: ({ codes }) => codes.includes(code),
  });
}

async function trayOf(room: Room, number: number, set: number): Promise<FoundTray> {
  return await findTray(room, number, {
    field: "set",
    complaint: `Seat ${number} has no set ${set}`,
    is: ({ ordinal }) => ordinal === set,
  });
}

async function findTray(
  room: Room,
  number: number,
  wanted: { field: string; complaint: string; is: (tray: TrayInRoom) => boolean },
): Promise<FoundTray> {
  const seat = await seatInRoom(room.db, room.session.id, number);
  if (seat === undefined || seat.status === "withdrawn") {
    return wrong("seat", seatComplaint(number, seat?.status));
  }
  const tray = (await traysOfSeat(room.db, seat.id)).find(wanted.is);
  if (tray === undefined) return wrong(wanted.field, wanted.complaint);
  return { ok: true, seatId: seat.id, status: seat.status, tray };
}
