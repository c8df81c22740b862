import { type Deps, hashToken, newToken, now } from "../deps.ts";
import { addInvitation, type Invitation } from "../store/leads.ts";
import { hoursFrom } from "./visit.ts";

const INVITATION_HOURS = 72;

/** Stores an invitation and returns its token, to be put after `/enter/`. */
export async function makeInvitation(deps: Deps, invitation: Invitation): Promise<string> {
  const token = newToken(deps);
  const expiresAt = hoursFrom(deps, INVITATION_HOURS);
  await deps.store
    .transaction()
    .execute((trx) =>
      addInvitation(trx, { ...invitation, tokenHash: hashToken(token), at: now(deps), expiresAt }),
    );
  return token;
}
