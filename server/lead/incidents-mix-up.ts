import { type IncidentForm, MIXED_UP } from "../../src/experiment/incident.ts";
import { listLeads } from "../store/colleagues.ts";
import { addMixUp, isMixedUp, type TrayInRoom, voidPresentation } from "../store/incidents.ts";
import { type Preparation, type Room, wrong } from "./incident-preparation.ts";
import { trayWithCode } from "./incident-tray.ts";

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
  if (tray.voidReason !== null) return wrong("code", "This set is void already");
  if (form.resolution === "voided" || tray.answered) return null;
  return wrong(
    "resolution",
    "No answer to this set has arrived, so there is nothing to correct: put the cups right, or void the set",
  );
}

/** A correction takes two people: not the same one by another account, or typed as a witness. */
async function secondNameComplaint(room: Room, form: IncidentForm<"mix-up">) {
  const { secondLead, witness } = form;
  const leads = await listLeads(room.db);
  const nameOf = (leadId: string) => leads.find(({ id }) => id === leadId)?.name ?? "";
  const own = nameOf(room.leadId);
  if (secondLead === room.leadId) return wrong("secondLead", ANOTHER_PERSON);
  if (secondLead !== "" && nameOf(secondLead) === "") {
    return wrong("secondLead", "Choose a lead from the list");
  }
  if (isSameName(nameOf(secondLead), own)) return wrong("secondLead", ANOTHER_PERSON);
  return isSameName(witness, own) ? wrong("witness", ANOTHER_PERSON) : null;
}

const ANOTHER_PERSON = "A second name is another person's";

function isSameName(one: string, other: string): boolean {
  const bare = (name: string) => name.normalize("NFKC").toLowerCase().replace(/\s/g, "");
  return bare(one) === bare(other);
}

/** Who else stands for a correction: another lead by id, or a witness by name. */
function secondName({ resolution, secondLead, witness }: IncidentForm<"mix-up">) {
  if (resolution === "voided") return { second_lead_id: null, witness: null };
  return {
    second_lead_id: secondLead === "" ? null : secondLead,
    witness: witness === "" ? null : witness,
  };
}
