import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { hashToken, now } from "../../server/deps.ts";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { addLink } from "../../server/store/links.ts";
import { type House, openHouse } from "../app.ts";
import { openSession } from "../sealed-session.ts";

describe("Doors that check their own token", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  it("give nothing to a phone without a seat", async () => {
    const pages = ["", "/1", "/trial", "/afterwards", "/stop", "/data", "/data.json", "/stamp"];
    for (const page of pages) {
      const answer = await house.visitor().get(`/taste${page}`);
      expect([page, [303, 401].includes(answer.statusCode)]).toEqual([page, true]);
    }
    for (const page of ["/1", "/trial", "/stop"]) {
      const visitor = house.visitor();
      await visitor.get("/sign-in");
      const answer = await visitor.post(`/taste${page}`, {});
      expect([page, [303, 401].includes(answer.statusCode)]).toEqual([page, true]);
    }
  });

  it("give nothing for a link that was never made", async () => {
    for (const url of ["/sheet/x", "/report/x", "/report/x/report.html"]) {
      const answer = await house.visitor().get(url);
      expect([url, answer.statusCode]).toEqual([url, 404]);
    }
  });
});

describe("The bare address", () => {
  it("leads a signed-in lead to the experiments, and everyone else to where a code is typed", async () => {
    const house = await openHouse();
    const lead = await house.signedInLead();
    const front = await lead.get("/");
    expect([front.statusCode, front.headers.location]).toEqual([303, "/lead"]);
    const anyone = house.visitor();
    expect((await anyone.get("/")).headers.location).toBe("/join");
    for (const language of ["en", "de"]) {
      const page = await anyone.get(`/join?language=${language}`);
      expect(page.body).toContain('<a href="/sign-in">');
    }
    await house.close();
  });
});

describe("Cookies", () => {
  let house: House;
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(() => house.close());

  const names = ["_csrf", "evenpour_lead", "evenpour_seat", "evenpour_sheet"];

  it("go over https only where people reach the server by https", async () => {
    house.deps.publicUrl = () => "https://cups.example";
    expect(await marksOf(house)).toEqual(Object.fromEntries(names.map((name) => [name, true])));
  });

  it("go over plain http in a room that is reached by it", async () => {
    expect(await marksOf(house)).toEqual(Object.fromEntries(names.map((name) => [name, false])));
  });
});

/** Whether each cookie is marked secure, by name: of a form, a lead, a taster and a sheet's reader. */
async function marksOf(house: House): Promise<Record<string, boolean>> {
  const session = await openSession(house);
  const taster = house.visitor();
  const lead = house.visitor();
  const reader = house.visitor();
  const link = { id: "l1", sessionId: session.sessionId, shows: "pour-sheet", note: "" } as const;
  await house.deps.store
    .transaction()
    .execute((trx) =>
      addLink(trx, { ...link, tokenHash: hashToken("t"), at: now(house.deps), expiresAt: null }),
    );
  const invitation = { purpose: "sign-in", leadId: session.leadId } as const;
  const entrance = `/enter/${await makeInvitation(house.deps, invitation)}`;
  const consent = { language: "en", name: "Q. R.", consent: "yes" };
  const answers = [
    await taster.get(`/join/${session.joinCode}`),
    await taster.post(`/join/${session.joinCode}`, consent),
    await lead.get(entrance),
    await lead.post(entrance, {}),
    await reader.get("/sheet/t"),
    await reader.post("/sheet/t", {}),
  ];
  const cookies = answers.flatMap((answer) => answer.cookies);
  return Object.fromEntries(
    cookies.map(({ name, secure }) => [name.replace(/_l1$/, ""), secure === true]),
  );
}
