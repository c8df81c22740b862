import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { step } from "../../seed/play.ts";
import { eventsOf } from "../../server/store/events.ts";
import { brewerPots, pouredCups, trayCups } from "../../server/store/sheets.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { type SealedFixture, sealedSession } from "../sealed-session.ts";

describe("Sheets of a sealed session", () => {
  let house: House;
  let lead: Visitor;
  let session: SealedFixture;
  beforeEach(async () => {
    house = await openHouse();
    session = await sealedSession(house, { tasters: 6 });
    lead = await house.signedInLead();
  });
  afterEach(() => house.close());

  const links = () => `/lead/sessions/${session.sessionId}/links`;
  const make = async (shows: string) => {
    await lead.get(links());
    const made = await lead.post(links(), { shows, note: "second person", days: "3" });
    const url = /<code class="link">([^<]+)</.exec(made.body)?.[1] ?? "";
    return new URL(url).pathname;
  };
  const openSheet = async (path: string, person = house.visitor()) => {
    await person.get(path);
    await person.post(path, {});
    return { person, page: await person.get(path) };
  };
  const treatmentNames = () => Object.values(session.plan.treatments).map(({ name }) => name);

  it("label and tray sheets carry every code and name neither pot nor treatment", async () => {
    const cups = await trayCups(house.deps.store, session.sessionId);
    const labels = await lead.get(`/lead/sessions/${session.sessionId}/sheets/labels`);
    const trays = await lead.get(`/lead/sessions/${session.sessionId}/sheets/trays`);
    for (const cup of cups) {
      expect(labels.body).toContain(`>${cup.code} <small>`);
      expect(trays.body).toContain(`<span class="cup">${cup.code}</span>`);
    }
    for (const page of [labels, trays]) {
      for (const name of treatmentNames()) expect(page.body).not.toContain(name);
      expect(page.body).not.toMatch(/pot [A-Z]\b/i);
    }
  });

  it("a tray sheet says of each set in which round it is poured, by the name on its labels", async () => {
    const labels = await lead.get(`/lead/sessions/${session.sessionId}/sheets/labels`);
    const trays = await lead.get(`/lead/sessions/${session.sessionId}/sheets/trays`);
    const printed = new Set(
      [...labels.body.matchAll(/class="label">(\d{3}) <small>(R\d+)/g)].map(
        ([, code, round]) => `${round} ${code}`,
      ),
    );
    const rows = [...trays.body.matchAll(/class="ordinal">\d+ <small>(R\d+)<\/small>(.*)<\/tr>/g)];
    const placed = rows.flatMap(([, round, cups]) =>
      [...(cups ?? "").matchAll(/class="cup">(\d{3})/g)].map(([, code]) => `${round} ${code}`),
    );
    expect(new Set(rows.map(([, round]) => round)).size).toBeGreaterThan(1);
    expect(placed).toHaveLength((await trayCups(house.deps.store, session.sessionId)).length);
    for (const cup of placed) expect(printed).toContain(cup);
  });

  it("prints as many labels as cups and spares, in order of number within a round", async () => {
    const cups = await pouredCups(house.deps.store, session.sessionId);
    const { body } = await lead.get(`/lead/sessions/${session.sessionId}/sheets/labels`);
    const printed = [...body.matchAll(/class="label">(\d{3}) <small>R(\d+)/g)];
    expect(printed).toHaveLength(cups.length);
    const places = printed.map(([, code, round]) => `${round?.padStart(3, "0")} ${code}`);
    expect(places).toEqual([...places].sort());
  });

  it("the poster shows the join address as text and as a QR code", async () => {
    const { body } = await lead.get(`/lead/sessions/${session.sessionId}/sheets/poster`);
    expect(body).toContain(session.joinCode);
    expect(body).toMatch(/<path d="M4 4h1v1h-1z/);
  });

  it("the pour sheet says which codes come from which pot, and nothing of seats or treatments", async () => {
    const { page } = await openSheet(await make("pour-sheet"));
    const cups = await pouredCups(house.deps.store, session.sessionId);
    for (const cup of cups) expect(page.body).toContain(cup.code);
    expect(page.body).not.toMatch(/seat/i);
    for (const name of treatmentNames()) expect(page.body).not.toContain(name);
  });

  it("the brew sheet says what each pot gets, and holds no cup code", async () => {
    const { page } = await openSheet(await make("brew-sheet"));
    const pots = await brewerPots(house.deps.store, session.sessionId);
    for (const pot of pots) {
      const row = `<strong>${pot.letter}</strong></td><td>${pot.brewer}</td><td>${pot.waterLabel}</td><td>${session.plan.treatments[pot.treatment].name}`;
      expect(page.body).toContain(row);
    }
    expect(page.body).not.toContain('class="codes"');
  });

  it("the brew sheet speaks of water and of what is added only where the plan adds something", async () => {
    const { page: added } = await openSheet(await make("brew-sheet"));
    expect(added.body).toContain(
      "must be food grade (magnesium chloride, potassium bicarbonate): weigh it with gloves",
    );
    expect(added.body).toContain('<th scope="col">Water label</th>');
    session = await sealedSession(house, { substances: [] });
    const { page: without } = await openSheet(await make("brew-sheet"));
    for (const word of ["food grade", "stock bottle", "Water label", "container of water"]) {
      expect(without.body).not.toContain(word);
    }
    expect(without.body).toContain('<th scope="col">Container</th>');
    expect(without.body).toContain("Kettles and brewers scald.");
    const [pot] = await brewerPots(house.deps.store, session.sessionId);
    const { potId } = await house.deps.store
      .selectFrom("pots")
      .select("id as potId")
      .where("session_id", "=", session.sessionId)
      .where("letter", "=", pot?.letter ?? "")
      .executeTakeFirstOrThrow();
    const log = (await lead.get(`/lead/sessions/${session.sessionId}/brews/${potId}`)).body;
    expect(log).toContain("Label on the container");
    expect(log).not.toContain("water labelled");
  });

  it("the key sheet joins codes to treatments and carries the commitment", async () => {
    const { page } = await openSheet(await make("key-sheet"));
    expect(page.body).toMatch(/Commitment to this key: <code class="link">[0-9a-f]{64}/);
    for (const name of treatmentNames()) expect(page.body).toContain(name);
  });

  it("a second person's link opens once, on one device", async () => {
    const path = await make("pour-sheet");
    const { person, page } = await openSheet(path);
    expect(page.statusCode).toBe(200);
    expect((await person.get(path)).statusCode).toBe(200);
    const other = await house.visitor().get(path);
    expect(other.statusCode).toBe(410);
    expect(other.body).toContain("somebody else may know the key");
  });

  it("shows nothing before the sheet is opened, and says what opening it costs a lead", async () => {
    const path = await make("brew-sheet");
    const cover = await lead.get(path);
    for (const name of treatmentNames()) expect(cover.body).not.toContain(name);
    expect(cover.body).toContain("single-blind");
    await lead.post(path, {});
    const kinds = (await eventsOf(house.deps.store, session.sessionId)).map((event) => event.kind);
    expect(kinds).toContain("sheet-opened-by-lead");
  });

  it("a report's link says when it was last opened, and a reload writes nothing", async () => {
    const path = await make("report");
    const opened = async () => {
      const list = (await lead.get(links())).body;
      return /<td>Report<\/td>.*?<\/span><\/td><td>([^<]*)</.exec(list)?.[1];
    };
    expect((await house.visitor().get(path)).statusCode).toBe(409);
    expect(await opened()).toBe("not yet");
    for (const act of ["opening", "closure", "unblinding"] as const) {
      await step(lead, session.sessionId, act);
    }
    const manager = house.visitor();
    expect((await manager.get(path)).statusCode).toBe(200);
    expect(await opened()).toBe("last 2026-03-02 09:00");
    house.wait(4 * 60_000);
    await manager.get(path);
    expect(await opened()).toBe("last 2026-03-02 09:00");
    house.wait(60_000);
    await manager.get(`${path}/report.html`);
    expect(await opened()).toBe("last 2026-03-02 09:05");
    const kinds = (await eventsOf(house.deps.store, session.sessionId)).map((event) => event.kind);
    expect(kinds.at(-1)).toBe("unblinded");
  });

  it("a revoked or expired link shows nothing", async () => {
    const path = await make("pour-sheet");
    const list = await lead.get(links());
    const revocation = /action="([^"]+\/revocation)"/.exec(list.body)?.[1] ?? "";
    expect((await lead.post(revocation, {})).statusCode).toBe(303);
    expect((await house.visitor().get(path)).statusCode).toBe(404);
    const late = await make("pour-sheet");
    house.wait(4 * 86_400_000);
    expect((await house.visitor().get(late)).statusCode).toBe(404);
  });

  it.each([
    [{ shows: "", note: "", days: "3" }, "Choose what the link shows"],
    [{ shows: "pour-sheet", note: "", days: "many" }, "Give whole days"],
    [{ shows: "pour-sheet", note: "", days: "0" }, "At least one day"],
  ])("refuses a link that makes no sense", async (form, message) => {
    await lead.get(links());
    const answer = await lead.post(links(), form);
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain(message);
  });

  it("nobody but a lead prints or makes links", async () => {
    for (const path of [links(), `/lead/sessions/${session.sessionId}/sheets/labels`]) {
      const answer = await house.visitor().get(path);
      expect(answer.headers.location).toMatch(/^\/sign-in/);
    }
  });
});

describe("Who has seen the key", () => {
  it("can't take a seat in that session on the same visit", async () => {
    const house = await openHouse();
    const session = await sealedSession(house);
    const lead = await house.signedInLead();
    const links = `/lead/sessions/${session.sessionId}/links`;
    expect((await lead.get(`/join/${session.joinCode}`)).statusCode).toBe(200);
    await lead.get(links);
    const made = await lead.post(links, { shows: "key-sheet", note: "", days: "3" });
    const path = new URL(/<code class="link">([^<]+)</.exec(made.body)?.[1] ?? "").pathname;
    await lead.get(path);
    await lead.post(path, {});
    const refused = await lead.get(`/join/${session.joinCode}`);
    expect(refused.statusCode).toBe(409);
    expect(refused.body).toContain("You have seen the key of this session");
    expect((await house.visitor().get(`/join/${session.joinCode}`)).statusCode).toBe(200);
    await house.close();
  });
});
