import { seatComplaint } from "../seat-complaint.ts";
import { type SeatInRoom, seatInRoom, type TrayInRoom, traysOfSeat } from "../store/incidents.ts";
import { type Room, wrong } from "./incident-preparation.ts";

type FoundTray =
  | { ok: true; seatId: string; status: SeatInRoom["status"]; tray: TrayInRoom }
  | ReturnType<typeof wrong>;

/** The tray of a seat that holds a cup code. */
export async function trayWithCode(room: Room, number: number, code: string): Promise<FoundTray> {
  return await findTray(room, number, {
    field: "code",
    complaint: `Seat ${number} has no cup ${code}; read the seat and the code again`,
    is: ({ codes }) => codes.includes(code),
  });
}

/** The tray of a seat by its place in the serving order. */
export async function trayOf(room: Room, number: number, set: number): Promise<FoundTray> {
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
