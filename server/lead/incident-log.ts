import type { SessionEvent } from "../../src/experiment/event.ts";
import { POURED, POURING_CORRECTED } from "../../src/experiment/pouring.ts";

/** One thing that happened, as the room lists it. */
export interface LoggedIncident {
  /** ISO instant, and its hours and minutes in UTC. */
  at: string;
  time: string;
  text: string;
}

/** The incidents of a session's log, newest first; nothing of any answer or treatment. */
export function incidentLog(events: readonly SessionEvent[]): LoggedIncident[] {
  return events
    .flatMap((event) => {
      const text = incidentText(event);
      return text === null ? [] : [{ at: event.at, time: event.at.slice(11, 16), text }];
    })
    .reverse();
}

function incidentText({ kind, body }: SessionEvent): string | null {
  const seat = `Seat ${said(body.seat)}`;
  const set = `${seat}, set ${said(body.ordinal)}`;
  switch (kind) {
    case "incident-late":
      return `Somebody came late; ${seat.toLowerCase()} was next`;
    case "incident-left":
      return `${seat} left; what was locked counts`;
    case "incident-back":
      return `${seat} came back`;
    case "incident-spill":
      return `${set}: cup ${said(body.code)} poured anew as ${said(body.newCode)}`;
    case "incident-mix-up":
      return `${set}: ${said(body.code)} and ${said(body.otherCode)} were exchanged; ${said(body.resolution)}${body.resolution === "corrected" ? " on two names" : ""}`;
    case "incident-void":
      return `${set} void: ${said(body.reason)}`;
    case "incident-again":
      return `${seat}: set ${said(body.repeats)} served again as set ${said(body.ordinal)}, with the codes ${listed(body.codes)}`;
    case "incident-pause":
      return "Paused";
    case "incident-resume":
      return "Went on";
    case "incident-note":
      return said(body.note);
    case "seat-move-offered":
      return `${seat}: a code to move to another phone`;
    case "ballot-by-desk":
      return `${set}: typed in at the desk from ${said(body.from)}`;
    case "paper-read":
      return `${set}: a paper ballot read for the first time`;
    case POURED:
      return `R${said(body.round)} poured`;
    case POURING_CORRECTED:
      return `R${said(body.round)}: ${body.pouredAt === null ? "was not poured after all" : "time of pouring corrected"}`;
    case "taster-withdrew":
      return "A taster withdrew";
    default:
      return null;
  }
}

function said(value: unknown): string {
  return typeof value === "string" || typeof value === "number" ? String(value) : "";
}

function listed(value: unknown): string {
  return Array.isArray(value) ? value.map(said).join(", ") : "";
}
