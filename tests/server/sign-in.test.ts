import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { type House, LEAD, openHouse } from "../app.ts";

describe("Leads sign in", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  it("sets the first passphrase through a link that works once, and signs in with it", async () => {
    const token = await makeInvitation(house.deps, { purpose: "set-up", leadId: null });
    const visitor = house.visitor();
    await visitor.get(`/enter/${token}`);
    const form = { name: LEAD.name, passphrase: LEAD.passphrase, again: LEAD.passphrase };
    const entered = await visitor.post(`/enter/${token}`, form);
    expect([entered.statusCode, entered.headers.location]).toEqual([303, "/lead"]);
    expect((await house.visitor().get(`/enter/${token}`)).statusCode).toBe(404);

    const later = house.visitor();
    await later.get("/sign-in");
    const signedIn = await later.post("/sign-in", LEAD);
    expect([signedIn.statusCode, signedIn.headers.location]).toEqual([303, "/lead"]);
  });

  it("says at the field what is wrong and keeps the name", async () => {
    const token = await makeInvitation(house.deps, { purpose: "set-up", leadId: null });
    const visitor = house.visitor();
    await visitor.get(`/enter/${token}`);
    const answer = await visitor.post(`/enter/${token}`, {
      name: "Ines",
      passphrase: "short",
      again: "short",
    });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain("Use at least 10 characters");
    expect(answer.body).toContain('value="Ines"');
    expect(answer.body).not.toContain('value="short"');
  });

  it("refuses a wrong passphrase and an unknown name with the same words", async () => {
    const token = await makeInvitation(house.deps, { purpose: "set-up", leadId: null });
    const visitor = house.visitor();
    await visitor.get(`/enter/${token}`);
    await visitor.post(`/enter/${token}`, { ...LEAD, again: LEAD.passphrase });
    const complaints = [];
    for (const form of [
      { ...LEAD, passphrase: "three fast kettles" },
      { ...LEAD, name: "Noor" },
    ]) {
      const stranger = house.visitor();
      await stranger.get("/sign-in");
      const answer = await stranger.post("/sign-in", form);
      expect(answer.statusCode).toBe(422);
      complaints.push(/class="error".*?<\/p>/.exec(answer.body)?.[0]);
    }
    expect(complaints[0]).toContain("belong together");
    expect(complaints[0]).toBe(complaints[1]);
  });

  it("refuses a form without its token and slows down guessing", async () => {
    const visitor = house.visitor();
    const forged = await visitor.post("/sign-in", LEAD);
    expect(forged.statusCode).toBe(403);
    await visitor.get("/sign-in");
    const codes = [];
    for (let attempt = 0; attempt < 12; attempt += 1) {
      codes.push((await visitor.post("/sign-in", LEAD)).statusCode);
    }
    expect(codes.at(-1)).toBe(429);
  });

  it("sends people back only to pages of our own", async () => {
    const answer = await house.visitor().get("/sign-in?next=https://example.org/lead");
    expect(answer.body).toContain('name="next" value="/lead"');
  });
});
