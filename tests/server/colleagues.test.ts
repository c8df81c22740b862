import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { eventsOf } from "../../server/store/events.ts";
import { type House, LEAD, openHouse, type Visitor } from "../app.ts";
import { sealedSession } from "../sealed-session.ts";

describe("Colleagues", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const page = async (visitor = lead) => (await visitor.get("/lead/colleagues")).body;
  const invite = async () => {
    await page();
    const { body } = await lead.post("/lead/colleagues/invitations", {});
    return /\/enter\/([\w-]+)/.exec(body)?.[1] ?? "";
  };
  const comeIn = async (token: string, name: string) => {
    const visitor = house.visitor();
    await visitor.get(`/enter/${token}`);
    const form = { name, passphrase: LEAD.passphrase, again: LEAD.passphrase };
    return { visitor, answer: await visitor.post(`/enter/${token}`, form) };
  };
  const idOf = async (name: string) =>
    (
      await house.deps.store
        .selectFrom("leads")
        .select("id")
        .where("name", "=", name)
        .executeTakeFirstOrThrow()
    ).id;
  const remove = async (leadId: string, by = lead) => {
    const confirm = await by.get(`/lead/colleagues/${leadId}/removal`);
    return { confirm, answer: await by.post(`/lead/colleagues/${leadId}/removal`, {}) };
  };

  it("lists invitations that wait, and cancels one so that its link opens nothing", async () => {
    expect(await page()).not.toContain("Invitations not used yet");
    const [kept, cancelled] = [await invite(), await invite()];
    const body = await page();
    expect(body.match(/>Cancel</g)).toHaveLength(2);
    expect(body).not.toContain(cancelled);
    const newest = /name="invitation" value="([^"]+)"/.exec(body)?.[1] ?? "";
    const path = "/lead/colleagues/invitations/cancellation";
    const told = await lead.post(path, { invitation: newest });
    expect((await lead.get(String(told.headers.location))).body).toContain(
      "The invitation is cancelled",
    );
    const again = await lead.post(path, { invitation: newest });
    expect([again.statusCode, again.body.includes("over already")]).toEqual([409, true]);
    const codes = [];
    for (const token of [kept, cancelled]) {
      codes.push((await house.visitor().get(`/enter/${token}`)).statusCode);
    }
    expect(codes.toSorted()).toEqual([200, 404]);
    expect((await page()).match(/>Cancel</g)).toHaveLength(1);
  });

  it("cancels no link but an invitation: a reset stays open", async () => {
    await comeIn(await invite(), "Noor");
    await makeInvitation(house.deps, { purpose: "reset", leadId: await idOf("Noor") });
    const { token_hash } = await house.deps.store
      .selectFrom("lead_invitations")
      .select("token_hash")
      .where("purpose", "=", "reset")
      .executeTakeFirstOrThrow();
    const path = "/lead/colleagues/invitations/cancellation";
    expect((await lead.post(path, { invitation: token_hash })).statusCode).toBe(409);
  });

  it("removes a colleague after a confirmation: every sign-in and link of theirs ends at once", async () => {
    const { visitor: noor } = await comeIn(await invite(), "Noor");
    const noorId = await idOf("Noor");
    const reset = await makeInvitation(house.deps, { purpose: "reset", leadId: noorId });
    expect((await noor.get("/lead")).statusCode).toBe(200);
    const { confirm, answer } = await remove(noorId);
    expect(confirm.body).toContain("Remove Noor?");
    expect(answer.headers.location).toBe("/lead/colleagues");
    expect((await noor.get("/lead")).headers.location).toContain("/sign-in");
    expect((await house.visitor().get(`/enter/${reset}`)).statusCode).toBe(404);
    const later = house.visitor();
    await later.get("/sign-in");
    const form = { name: "Noor", passphrase: LEAD.passphrase };
    expect((await later.post("/sign-in", form)).statusCode).toBe(422);
    expect(await page()).not.toContain("Noor");
    expect((await remove(noorId)).answer.statusCode).toBe(404);
  });

  it("leaves no way back in: invitations that wait end with whoever is removed, which the page says", async () => {
    await comeIn(await invite(), "Sol");
    const { visitor: noor } = await comeIn(await invite(), "Noor");
    await page(noor);
    const { body } = await noor.post("/lead/colleagues/invitations", {});
    const token = /\/enter\/([\w-]+)/.exec(body)?.[1] ?? "";
    expect((await house.visitor().get(`/enter/${token}`)).statusCode).toBe(200);
    await makeInvitation(house.deps, { purpose: "reset", leadId: await idOf("Sol") });
    const { confirm } = await remove(await idOf("Noor"));
    expect(confirm.body).toContain("Invitations not used yet end as well");
    expect((await house.visitor().get(`/enter/${token}`)).statusCode).toBe(404);
    expect(await page()).not.toContain("Invitations not used yet");
    const open = await house.deps.store
      .selectFrom("lead_invitations")
      .select("purpose")
      .where("used_at", "is", null)
      .execute();
    expect(open).toEqual([{ purpose: "reset" }]);
  });

  it("keeps what a removed colleague did, and their name for themselves", async () => {
    const fixture = await sealedSession(house);
    const before = await eventsOf(house.deps.store, fixture.sessionId);
    const { name } = await house.deps.store
      .selectFrom("leads")
      .select("name")
      .where("id", "=", fixture.leadId)
      .executeTakeFirstOrThrow();
    await remove(fixture.leadId);
    expect(await eventsOf(house.deps.store, fixture.sessionId)).toEqual(before);
    expect((await lead.get(`/lead/sessions/${fixture.sessionId}`)).statusCode).toBe(200);
    const { answer } = await comeIn(await invite(), name);
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain("A colleague who was removed had this name");
  });

  it("never removes the last one, whoever asks, and lets oneself go while another stays", async () => {
    const [only] = await house.deps.store.selectFrom("leads").select("id").execute();
    const own = only?.id ?? "";
    expect(await page()).not.toContain("/removal");
    const alone = await remove(own);
    expect([alone.confirm.statusCode, alone.answer.statusCode]).toEqual([409, 409]);
    expect(alone.answer.body).toContain("The last lead stays");
    await comeIn(await invite(), "Noor");
    const self = await remove(own);
    expect(self.confirm.body).toContain("Remove yourself?");
    expect(self.answer.headers.location).toBe("/sign-in");
    expect((await lead.get("/lead")).statusCode).toBe(303);
  });

  it("lets a lead mend their own name, not take another's", async () => {
    const { visitor: noor } = await comeIn(await invite(), "Noor");
    await comeIn(await invite(), "Sol");
    await page(noor);
    const rename = (ownName: string) => noor.post("/lead/colleagues/own-name", { ownName });
    const taken = await rename("Sol");
    expect(taken.statusCode).toBe(422);
    expect(taken.body).toMatch(/id="ownName-error">.*A lead has this name already/);
    expect(taken.body).toContain('value="Sol"');
    expect((await rename(" ")).body).toContain("Say what colleagues call you");
    expect((await rename("Noor")).statusCode).toBe(303);
    expect((await rename("Nour")).statusCode).toBe(303);
    expect(await page(noor)).toContain("Sign out (Nour)");
    const later = house.visitor();
    await later.get("/sign-in");
    const form = { name: "Nour", passphrase: LEAD.passphrase };
    expect((await later.post("/sign-in", form)).statusCode).toBe(303);
  });
});
