import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { draftOf } from "../../server/lead/plan-form.ts";
import { eventsOf } from "../../server/store/events.ts";
import { discardExperiment } from "../../server/store/experiments.ts";
import { verifyChain } from "../../src/experiment/event.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, sealedSession } from "../sealed-session.ts";

describe("An experiment that nothing is sealed under", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    await lead.get("/lead/experiments/new");
  });
  afterEach(() => house.close());

  const planned = async () => {
    const answer = await lead.post("/lead/experiments", draftOf(examplePlan));
    return String(answer.headers.location).replace("?saved=yes", "");
  };
  const setUp = async (experiment: string) => {
    const form = { sessionName: "Tuesday", heldOn: "" };
    const { headers } = await lead.post(`${experiment}/sessions`, form);
    return String(headers.location).replace("/seal", "");
  };

  it("can be discarded though its plan has gaps and no name", async () => {
    await lead.post("/lead/experiments", { title: "" });
    const list = (await lead.get("/lead")).body;
    const path = /href="(\/lead\/experiments\/[\w-]+)">Untitled</.exec(list)?.[1] ?? "";
    expect((await lead.get(path)).body).toContain(`${path}/discarding`);
    expect((await lead.get(`${path}/discarding`)).body).toContain("Discard Untitled?");
    const answer = await lead.post(`${path}/discarding`, {});
    const { location } = answer.headers;
    expect([answer.statusCode, location]).toEqual([303, "/lead?discarded=yes"]);
    expect((await lead.get(String(location))).body).toContain("The experiment is discarded");
    expect((await lead.get("/lead")).body).not.toContain("Untitled");
    for (const page of [path, `${path}/discarding`, `${path}/evidence`]) {
      expect([page, (await lead.get(page)).statusCode]).toEqual([page, 404]);
    }
    expect((await lead.post(`${path}/discarding`, {})).statusCode).toBe(404);
  });

  it("takes its draft sessions along, whose logs stay", async () => {
    const experiment = await planned();
    const session = await setUp(experiment);
    expect((await lead.get(`${experiment}/discarding`)).body).toContain("Tuesday");
    await lead.post(`${experiment}/discarding`, {});
    expect((await lead.get(session)).statusCode).toBe(404);
    expect((await lead.get("/lead")).body).not.toContain("Tuesday");
    const log = await eventsOf(house.deps.store, session.split("/")[3] ?? "");
    expect(log.map(({ kind }) => kind)).toEqual(["set-up", "discarded"]);
    expect(verifyChain(log).ok).toBe(true);
  });

  it.each([
    ["a session that is just being set up", "sessions", { sessionName: "Late", heldOn: "" }],
    [
      "a panel that is just being imported",
      "import",
      {
        sessionName: "Late",
        heldOn: "",
        act: "store",
        sheet: "taster,coffee,question,correct\nAna,Sallow,odd cup,yes",
      },
    ],
  ])("takes no more in once it is discarded: not %s", async (_, page, form) => {
    const experiment = await planned();
    const id = experiment.split("/")[3] ?? "";
    const { store, randomBytes } = house.deps;
    let discarding: Promise<void> | undefined;
    // A new id is drawn when all has been looked up and nothing is written: then a colleague discards.
    house.deps.randomBytes = (count) => {
      discarding ??= store.transaction().execute((trx) => {
        return discardExperiment(trx, id, "2026-03-02T09:00:00.000Z");
      });
      return randomBytes(count);
    };
    const answer = await lead.post(`${experiment}/${page}`, form);
    house.deps.randomBytes = randomBytes;
    await discarding;
    expect(discarding).toBeDefined();
    expect(answer.statusCode).toBe(404);
    const sessions = await store.selectFrom("sessions").select("name").execute();
    expect(sessions).toEqual([]);
  });

  it("leaves copies of it and other experiments as they are", async () => {
    const experiment = await planned();
    const copy = String((await lead.post(`${experiment}/copies`, {})).headers.location);
    await lead.post(`${experiment}/discarding`, {});
    expect((await lead.get(copy)).statusCode).toBe(200);
    expect((await lead.get("/lead")).body).toContain("Copy of Minerals after brewing");
  });

  it("stays once a session is sealed, with its evidence, also where the program would slip", async () => {
    const fixture = await sealedSession(house);
    const path = `/lead/experiments/${fixture.experimentId}`;
    expect((await lead.get(path)).body).not.toContain("discarding");
    for (const answer of [
      await lead.get(`${path}/discarding`),
      await lead.post(`${path}/discarding`, {}),
    ]) {
      expect(answer.statusCode).toBe(409);
      expect(answer.body).toContain("An experiment with a sealed session stays");
    }
    for (const step of ["opening", "closure", "unblinding"]) {
      await lead.post(`/lead/sessions/${fixture.sessionId}/${step}`, {});
    }
    await lead.post(`${path}/discarding`, {});
    expect((await lead.get("/lead/evidence")).statusCode).toBe(200);
    expect((await lead.get(path)).statusCode).toBe(200);
    const discardPast = house.deps.store
      .updateTable("experiments")
      .set({ discarded_at: "2026-03-02T09:00:00.000Z" })
      .where("id", "=", fixture.experimentId)
      .execute();
    await expect(discardPast).rejects.toThrow("an experiment with a sealed session stays");
  });
});
