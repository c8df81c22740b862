import type { AdmissionRefusal } from "../../src/experiment/session.ts";

/** Why a ballot that a lead types in can't be taken, as the lead reads it. */
export const deskRefusals: Record<AdmissionRefusal | "changed", string> = {
  "not-open-yet": "the session isn't open yet",
  closed: "the session is closed, so no answer can be added",
  paused: "the session is paused; let it go on first",
  "seat-inactive": "this taster has withdrawn, so the answer must not be kept",
  voided: "this set is void and needs no answer",
  changed: "the set has changed meanwhile; open it anew",
};
