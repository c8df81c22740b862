import type { Transaction } from "kysely";
import type { SessionEvent } from "../../src/experiment/event.ts";
import type { FieldErrors } from "../form.ts";
import type { Store } from "../store/database.ts";
import type { Database } from "../store/schema.ts";
import type { Session } from "../store/sessions.ts";

/** Where an incident is looked at: in which session, by which lead. */
export interface Room {
  db: Store | Transaction<Database>;
  session: Session;
  leadId: string;
}

/** The moment of a recording, and where new ids come from. */
export interface Stamp {
  at: string;
  newId: () => string;
}

/** An incident that has been checked: what it will do here, and how. */
export interface Prepared {
  ok: true;
  /** What happens when it is recorded, in sentences for the lead. */
  says: string[];
  /** Does it; returns what the log keeps. */
  record(trx: Transaction<Database>, stamp: Stamp): Promise<SessionEvent["body"]>;
}

export type Preparation = Prepared | { ok: false; errors: FieldErrors };

/** A complaint at one field. */
export function wrong(field: string, message: string): { ok: false; errors: FieldErrors } {
  return { ok: false, errors: { [field]: message } };
}
