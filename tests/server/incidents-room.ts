import { eventsOf } from "../../server/store/events.ts";
import { verifyChain } from "../../src/experiment/event.ts";
import type { House, Visitor } from "../app.ts";
import type { SealedFixture } from "../sealed-session.ts";

/** Records an incident as a lead does: form, confirmation, record. Returns the three answers. */
export async function recordIncident(
  lead: Visitor,
  { sessionId }: SealedFixture,
  kind: string,
  form: Record<string, string> = {},
) {
  const path = `/lead/sessions/${sessionId}/incidents/${kind}`;
  const asked = await lead.get(path);
  const confirmed = await lead.post(path, { ...form, step: "check" });
  const recorded = await lead.post(path, { ...form, step: "record" });
  return { asked, confirmed, recorded };
}

/** The text of a page without markup, spaces in a row made one. */
export function textOfPage(body: string): string {
  const main = /<main[^>]*>(.*)<\/main>/s.exec(body)?.[1] ?? body;
  return main
    .replace(/<[^>]+>/g, " ")
    .replaceAll("&#x27;", "'")
    .replaceAll("&quot;", '"')
    .replace(/\s+/g, " ");
}

/** The events of a kind, after checking that the whole chain holds. */
export async function logged(house: House, { sessionId }: SealedFixture, kind: string) {
  const events = await eventsOf(house.deps.store, sessionId);
  if (!verifyChain(events).ok) throw new Error("The chain of the log is broken");
  return events.filter((event) => event.kind === kind);
}
