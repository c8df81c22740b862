import { z } from "zod";

/** A session's life, in order; it only goes forward. */
export const sessionStates = ["draft", "sealed", "open", "closed", "unblinded"] as const;
export const sessionStateSchema = z.enum(sessionStates);
export type SessionState = z.infer<typeof sessionStateSchema>;

/** The acts that move a session on, each to the one state after its own. */
const steps = {
  seal: { from: "draft", to: "sealed" },
  open: { from: "sealed", to: "open" },
  close: { from: "open", to: "closed" },
  unblind: { from: "closed", to: "unblinded" },
} as const satisfies Record<string, { from: SessionState; to: SessionState }>;
export type SessionStep = keyof typeof steps;

export type StepOutcome =
  | { ok: true; state: SessionState }
  | { ok: false; refusal: "already-done" | "too-early" };

/**
 * The state after a step.
 * Refuses a step that has been taken (`already-done`) and one whose turn hasn't come (`too-early`).
 */
export function take(step: SessionStep, state: SessionState): StepOutcome {
  const { from, to } = steps[step];
  if (state === from) return { ok: true, state: to };
  const done = sessionStates.indexOf(state) >= sessionStates.indexOf(to);
  return { ok: false, refusal: done ? "already-done" : "too-early" };
}

/** What decides whether a ballot may enter. */
export interface BallotSituation {
  state: SessionState;
  /** The lead has paused the session. */
  paused: boolean;
  /** The seat has consented and has not left. */
  seatActive: boolean;
  /** The presentation was voided. */
  voided: boolean;
}

export type AdmissionRefusal = "not-open-yet" | "closed" | "paused" | "seat-inactive" | "voided";

/** Whether a first answer to one of the seat's own presentations may be stored. */
export function admitBallot(
  situation: BallotSituation,
): { ok: true } | { ok: false; refusal: AdmissionRefusal } {
  if (situation.state === "draft" || situation.state === "sealed") {
    return { ok: false, refusal: "not-open-yet" };
  }
  if (situation.state !== "open") return { ok: false, refusal: "closed" };
  if (situation.paused) return { ok: false, refusal: "paused" };
  if (!situation.seatActive) return { ok: false, refusal: "seat-inactive" };
  if (situation.voided) return { ok: false, refusal: "voided" };
  return { ok: true };
}
