import { sql } from "kysely";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { z } from "zod";
import { step } from "../../seed/play.ts";
import { verifyStore } from "../../server/store/verification.ts";
import { readPublished, verifyPublished } from "../../src/report/verification.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { examplePlan, otherMethods, type SealedFixture, sealedSession } from "../sealed-session.ts";
import { recordIncident } from "./incidents-room.ts";
import { ballotOn, joined, traysOf } from "./taster-sitting.ts";

const asKeyed = "Every set has the cups and the right answer that the key gives it";
const broken = (checks: { what: string; ok: boolean }[]) =>
  checks.filter(({ ok }) => !ok).map(({ what }) => what);

const ballotSchema = z.looseObject({
  set: z.string(),
  control: z.string().nullable(),
  replicate: z.int(),
  oddPosition: z.int().nullable(),
  fellowPosition: z.int().nullish(),
  cups: z.array(z.looseObject({ position: z.int(), code: z.string(), potLetter: z.string() })),
});
type Ballot = z.output<typeof ballotSchema>;
const fileSchema = z.looseObject({ evidence: z.looseObject({ ballots: z.array(ballotSchema) }) });

const plans = [{ name: "triangle", endpoints: examplePlan.endpoints }, ...otherMethods];

describe.each(plans)(
  "Verification of a session by $name, with a spill and a set served again",
  ({ endpoints }) => {
    let house: House;
    let lead: Visitor;
    let fixture: SealedFixture;
    let file: string;

    beforeAll(async () => {
      house = await openHouse();
      lead = await house.signedInLead();
      fixture = await sealedSession(house, { endpoints, tasters: 2, spareSeats: 0 });
      await step(lead, fixture.sessionId, "opening");
      const tasters = [await joined(house, fixture), await joined(house, fixture)];
      const [first, second] = await traysOf(house, fixture);
      const code = first?.codes[1] ?? "";
      const reason = "foreign smell or taste";
      for (const [kind, form] of [
        ["spill", { seat: "1", code, inWindow: "yes" }],
        ["void", { seat: "1", set: String(second?.ordinal), reason }],
        ["again", { seat: "1", set: String(second?.ordinal) }],
      ] as const) {
        const { recorded } = await recordIncident(lead, fixture, kind, form);
        expect([kind, recorded.statusCode]).toEqual([kind, 303]);
      }
      for (const [at, taster] of tasters.entries()) {
        for (const tray of await traysOf(house, fixture, at + 1)) {
          await taster.post(`/taste/${tray.ordinal}`, ballotOn(tray));
        }
      }
      await step(lead, fixture.sessionId, "closure");
      await step(lead, fixture.sessionId, "unblinding");
      file = (await lead.get(`/lead/sessions/${fixture.sessionId}/report/session.json`)).body;
    });
    afterAll(() => house.close());

    /** What does not hold once every ballot that `change` gives another form has it. */
    const brokenBy = (change: (ballot: Ballot) => Ballot) => {
      const json = fileSchema.parse(JSON.parse(file));
      const ballots = json.evidence.ballots.map(change);
      const read = readPublished(
        JSON.stringify({ ...json, evidence: { ...json.evidence, ballots } }),
      );
      if (!read.ok) throw new Error(read.message);
      return broken(verifyPublished(read.session));
    };
    const brokenInStore = async () =>
      broken((await verifyStore(house.deps.store))[0]?.checks ?? []);

    it("holds as it came, hidden controls among it", async () => {
      const { evidence } = fileSchema.parse(JSON.parse(file));
      expect(evidence.ballots.map(({ control }) => control)).toContain("same-pot");
      expect(brokenBy((ballot) => ballot)).toEqual([]);
      expect(await brokenInStore()).toEqual([]);
    });

    it("finds another right answer in the published file, of tests and of hidden controls", () => {
      const otherPlace = (place: number | null | undefined, places: readonly number[]) =>
        typeof place === "number" ? places.find((one) => one !== place) : place;
      const moved = (ballot: Ballot): Ballot => ({
        ...ballot,
        oddPosition: otherPlace(ballot.oddPosition, [2, 3]) ?? null,
        fellowPosition: otherPlace(ballot.fellowPosition, [2, 3]),
      });
      expect(brokenBy(moved)).toEqual([asKeyed]);
      const ofControls = (ballot: Ballot) => (ballot.control === null ? ballot : moved(ballot));
      expect(brokenBy(ofControls)).toEqual([asKeyed]);
    });

    it("finds cups that changed places or codes, and a control that is called none", () => {
      const turned = ({ cups, ...ballot }: Ballot): Ballot => ({
        ...ballot,
        cups: cups.map((cup) => ({ ...cup, position: cups.length + 1 - cup.position })),
      });
      expect(brokenBy(turned)).toEqual([asKeyed]);
      const recoded = ({ cups, ...ballot }: Ballot): Ballot => ({
        ...ballot,
        cups: cups.map((cup, at) => ({ ...cup, code: cups.at(at - 1)?.code ?? "" })),
      });
      expect(brokenBy(recoded)).toEqual([asKeyed]);
      expect(brokenBy((ballot) => ({ ...ballot, control: null }))).toEqual([asKeyed]);
    });

    it("finds another right answer in the data file, and the pots of one cup exchanged", async () => {
      const { store } = house.deps;
      const moveBy = (places: number) =>
        store.updateTable("presentation_keys").set({
          odd_position: sql`odd_position + ${places}`,
          fellow_position: sql`fellow_position + ${places}`,
        });
      await moveBy(1).execute();
      expect(await brokenInStore()).toEqual([asKeyed]);
      await moveBy(-1).execute();
      expect(await brokenInStore()).toEqual([]);
      const { cup_id, pot_id } = await store
        .selectFrom("cup_keys")
        .selectAll()
        .executeTakeFirstOrThrow();
      const other = await store
        .selectFrom("pots")
        .select("id")
        .where("id", "!=", pot_id)
        .executeTakeFirstOrThrow();
      await store
        .updateTable("cup_keys")
        .set({ pot_id: other.id })
        .where("cup_id", "=", cup_id)
        .execute();
      expect(await brokenInStore()).toEqual([asKeyed]);
    });
  },
);
