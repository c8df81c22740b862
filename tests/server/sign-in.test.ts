import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { listLeads } from "../../server/store/colleagues.ts";
import { addLead } from "../../server/store/leads.ts";
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

  it("opens a link for one of two who use it at once, whatever it is for", async () => {
    const lead = { id: "lead-1", name: "Noor", passphraseHash: "scrypt$none$none" };
    await house.deps.store
      .transaction()
      .execute((trx) => addLead(trx, { ...lead, at: "2026-03-02T08:00:00.000Z" }));
    const one = { passphrase: LEAD.passphrase, again: LEAD.passphrase };
    const other = { passphrase: "four slow kettles", again: "four slow kettles" };
    const pairs = [
      {
        purpose: "set-up",
        leadId: null,
        forms: [
          { name: "A", ...one },
          { name: "B", ...other },
        ],
      },
      {
        purpose: "invite",
        leadId: null,
        forms: [
          { name: "C", ...one },
          { name: "C", ...one },
        ],
      },
      { purpose: "reset", leadId: "lead-1", forms: [one, other] },
      { purpose: "sign-in", leadId: "lead-1", forms: [{}, {}] },
    ] as const;
    for (const { purpose, leadId, forms } of pairs) {
      const token = await makeInvitation(house.deps, { purpose, leadId });
      const codes = await postAtOnce(forms.map((form) => ({ token, form })));
      expect([purpose, ...codes.toSorted()]).toEqual([purpose, 303, 404]);
    }
    const names = (await listLeads(house.deps.store)).map(({ name }) => name);
    expect([names.length, names.includes("C")]).toEqual([3, true]);
    const visits = await house.deps.store.selectFrom("lead_visits").selectAll().execute();
    expect(visits).toHaveLength(4);
  });

  it("gives a name to one of two who ask for it at once, and keeps the other's link open", async () => {
    const form = { ...LEAD, again: LEAD.passphrase };
    const invitation = { purpose: "invite", leadId: null } as const;
    const tokens = [
      await makeInvitation(house.deps, invitation),
      await makeInvitation(house.deps, invitation),
    ];
    const codes = await postAtOnce(tokens.map((token) => ({ token, form })));
    expect(codes.toSorted()).toEqual([303, 422]);
    const refused = tokens[codes.indexOf(422)] ?? "";
    const visitor = house.visitor();
    await visitor.get(`/enter/${refused}`);
    const again = await visitor.post(`/enter/${refused}`, form);
    expect(again.body).toMatch(/id="name-error">.*A lead has this name already/);
    expect((await visitor.post(`/enter/${refused}`, { ...form, name: "Noor" })).statusCode).toBe(
      303,
    );
  });

  /** Posts forms from visitors of their own, all together; the statuses in order. */
  async function postAtOnce(
    posts: readonly { token: string; form: Record<string, string> }[],
  ): Promise<number[]> {
    const ready = await Promise.all(
      posts.map(async ({ token, form }) => {
        const visitor = house.visitor();
        await visitor.get(`/enter/${token}`);
        return { visitor, token, form };
      }),
    );
    const answers = await Promise.all(
      ready.map(({ visitor, token, form }) => visitor.post(`/enter/${token}`, form)),
    );
    return answers.map(({ statusCode }) => statusCode);
  }

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
    expect(answer.body).toContain("The name you typed is still here.");
    expect(answer.body).toContain("type yours twice again");
    expect(answer.body).not.toContain("Everything you typed");
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
      expect(answer.body).toContain("Passphrases are never sent back: type yours again.");
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
