import type { SeatInRoom } from "./store/incidents.ts";

/** Why an incident can't concern a seat. */
export function seatComplaint(number: number, status?: SeatInRoom["status"]): string {
  switch (status) {
    case undefined:
      return `This session has no seat ${number}`;
    case "free":
      return `Nobody has taken seat ${number}`;
    case "tasting":
      return `Seat ${number} has not left`;
    case "withdrawn":
      return `The taster on seat ${number} has withdrawn`;
    case "left":
      return `Seat ${number} has left`;
  }
}
