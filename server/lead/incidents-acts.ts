import type { z } from "zod";
import { type IncidentKind, incidentForms, mayRecord } from "../../src/experiment/incident.ts";
import { errorsByField, type RawForm } from "../form.ts";
import { seatComplaint } from "../seat-complaint.ts";
import { nextFreeSeat, seatInRoom, setLeft, setPaused } from "../store/incidents.ts";
import { type Preparation, type Room, wrong } from "./incident-preparation.ts";
import { mixUp } from "./incidents-mix-up.ts";
import { serveOnceMore, spill, takeOut } from "./incidents-trays.ts";

/**
 * Checks what was typed against the room as it stands, and says what recording it will do. Nothing
 * happens before `record`, which is called in the transaction that the check was made in.
 */
export async function prepareIncident(
  room: Room,
  kind: IncidentKind,
  values: RawForm,
): Promise<Preparation> {
  const { state, pausedAt } = room.session;
  if (!mayRecord(kind, { state, paused: pausedAt !== null })) {
    return wrong("kind", "This can't be recorded in the session's present state");
  }
  const forms = incidentForms;
  switch (kind) {
    case "late":
      return await late(room);
    case "pause":
    case "resume":
      return pauseOrResume(room, kind);
    case "left":
    case "back":
      return await read(forms[kind], values, ({ seat }) => leaveOrReturn(room, kind, seat));
    case "spill":
      return await read(forms.spill, values, (form) => spill(room, form));
    case "mix-up":
      return await read(forms["mix-up"], values, (form) => mixUp(room, form));
    case "void":
      return await read(forms.void, values, (form) => takeOut(room, form));
    case "again":
      return await read(forms.again, values, (form) => serveOnceMore(room, form));
    case "note":
      return await read(forms.note, values, async ({ note }) => noteDown(note));
  }
}

async function read<Schema extends z.ZodType>(
  schema: Schema,
  values: RawForm,
  goOn: (form: z.output<Schema>) => Promise<Preparation>,
): Promise<Preparation> {
  const form = schema.safeParse(values);
  return form.success ? await goOn(form.data) : { ok: false, errors: errorsByField(form.error) };
}

async function late({ db, session }: Room): Promise<Preparation> {
  const seat = await nextFreeSeat(db, session.id);
  if (seat === undefined) return wrong("kind", "Every seat is taken; the kit has no more trays");
  return {
    ok: true,
    says: [
      `Seat ${seat} is next. The taster joins with the code ${session.sealed?.joinCode ?? ""}, like everyone.`,
    ],
    record: async () => ({ seat }),
  };
}

function pauseOrResume({ session }: Room, kind: "pause" | "resume"): Preparation {
  const says =
    kind === "pause"
      ? "Phones will say that the tasting is paused, within seconds where the network holds."
      : "Phones will take up where they stopped.";
  return {
    ok: true,
    says: [says],
    record: async (trx, { at }) => {
      await setPaused(trx, session.id, kind === "pause" ? at : null);
      return {};
    },
  };
}

async function leaveOrReturn(
  { db, session }: Room,
  kind: "left" | "back",
  number: number,
): Promise<Preparation> {
  const seat = await seatInRoom(db, session.id, number);
  if (seat === undefined || seat.status !== (kind === "left" ? "tasting" : "left")) {
    return wrong("seat", seatComplaint(number, seat?.status));
  }
  const says =
    kind === "left"
      ? `Seat ${number} can't answer any more. If answers still wait on the phone, let it send them first.`
      : `Seat ${number} can answer again.`;
  return {
    ok: true,
    says: [says],
    record: async (trx, { at }) => {
      await setLeft(trx, seat.id, kind === "left" ? at : null);
      return { seatId: seat.id, seat: number };
    },
  };
}

function noteDown(note: string): Preparation {
  return { ok: true, says: [`The log will say: ${note}`], record: async () => ({ note }) };
}
