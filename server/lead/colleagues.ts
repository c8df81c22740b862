import type { FastifyPluginAsync, FastifyReply } from "fastify";
import { leadIn } from "../access.ts";
import { type Deps, now } from "../deps.ts";
import { type PublicRefusal, sendRefusal } from "../errors.ts";
import {
  errorSummary,
  errorsByField,
  type FieldErrors,
  fieldMaker,
  formOf,
  type RawForm,
  textOf,
} from "../form.ts";
import {
  bearerOf,
  cancelInvitation,
  listLeads,
  openInvitations,
  renameLead,
} from "../store/colleagues.ts";
import type { Lead } from "../store/leads.ts";
import { makeInvitation } from "./invitation.ts";
import { nameTaken, ownNameSchema, takenBy } from "./lead-name.ts";

/** Who else leads sessions here: inviting one more, cancelling that, and one's own name. */
export function colleagues(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const checked = { config, preHandler: app.csrfProtection };
    app.get("/lead/colleagues", { config }, async (request, reply) => {
      const cancelled = textOf(formOf(request.query), "cancelled") !== "";
      return await showColleagues(deps, reply, leadIn(request), { cancelled });
    });
    app.post("/lead/colleagues/invitations", checked, async (request, reply) => {
      const token = await makeInvitation(deps, { purpose: "invite", leadId: null });
      const invitation = `${deps.publicUrl()}/enter/${token}`;
      return await showColleagues(deps, reply, leadIn(request), { invitation });
    });
    app.post("/lead/colleagues/invitations/cancellation", checked, async (request, reply) => {
      const tokenHash = textOf(formOf(request.body), "invitation");
      const cancelled = await deps.store
        .transaction()
        .execute((trx) => cancelInvitation(trx, tokenHash, now(deps)));
      if (!cancelled) return sendRefusal(request, reply, invitationOver);
      return await reply.redirect("/lead/colleagues?cancelled=yes", 303);
    });
    app.post("/lead/colleagues/own-name", checked, async (request, reply) => {
      const values = formOf(request.body);
      const errors = await rename(deps, leadIn(request), values);
      if (errors === null) return await reply.redirect("/lead/colleagues", 303);
      reply.code(422);
      return await showColleagues(deps, reply, leadIn(request), { ownName: { values, errors } });
    });
  };
}

const invitationOver: PublicRefusal = {
  status: 409,
  headline: "This invitation is over already",
  advice:
    "It was used, was cancelled or has expired. If somebody came in by it whom you don’t know, remove them on the page of colleagues.",
};

/** Gives a lead another name; what is wrong with it, or null when done. */
async function rename(deps: Deps, lead: Lead, values: RawForm): Promise<FieldErrors | null> {
  const parsed = ownNameSchema.safeParse(values);
  if (!parsed.success) return errorsByField(parsed.error);
  const { ownName } = parsed.data;
  return await deps.store.transaction().execute(async (trx) => {
    const bearer = await bearerOf(trx, ownName);
    if (bearer !== undefined && bearer.id !== lead.id) {
      return { ownName: nameTaken[takenBy(bearer)] };
    }
    await renameLead(trx, lead.id, ownName);
    return null;
  });
}

interface Occasion {
  /** The address of an invitation that was just made. */
  invitation?: string;
  /** One has just been cancelled. */
  cancelled?: boolean;
  ownName?: { values: RawForm; errors: FieldErrors };
}

async function showColleagues(
  deps: Deps,
  reply: FastifyReply,
  self: Lead,
  occasion: Occasion,
): Promise<FastifyReply> {
  const leads = await listLeads(deps.store);
  const open = await openInvitations(deps.store, now(deps));
  const { values, errors } = occasion.ownName ?? { values: { ownName: self.name }, errors: {} };
  return reply.page("lead/colleagues", {
    title: "Colleagues",
    errors: errorSummary(errors),
    leads: leads.map((lead) => ({
      ...lead,
      isSelf: lead.id === self.id,
      removable: leads.length > 1,
    })),
    invitation: occasion.invitation ?? null,
    cancelled: occasion.cancelled ?? false,
    open: open.map(({ tokenHash, madeAt, expiresAt }) => ({
      tokenHash,
      madeAt: minuteOf(madeAt),
      until: minuteOf(expiresAt),
    })),
    ownName: fieldMaker(values, errors)("ownName", "Your name", {
      hint: "You sign in with it. Records of what you did show the new name too.",
      autocomplete: "username",
    }),
  });
}

function minuteOf(at: string): string {
  return `${at.slice(0, 16).replace("T", " ")} UTC`;
}
