import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { codesAgain } from "../../server/store/poured-anew.ts";
import { type House, openHouse } from "../app.ts";
import { otherMethods, sealedSession } from "../sealed-session.ts";

const plans = [{ name: "triangle", endpoints: undefined }, ...otherMethods];

describe.each(plans)("A tray served again under a plan by $name", ({ endpoints }) => {
  let house: House;
  beforeAll(async () => {
    house = await openHouse();
  });
  afterAll(() => house.close());

  /** Every tray of some sessions, with what it holds; kits differ, so that near codes occur. */
  const traysOf = async (sessions: number) => {
    const controls = { samePot: 2, sameTreatmentPairsPerCoffee: 1 };
    for (let drawn = 0; drawn < sessions; drawn += 1) {
      await sealedSession(house, { ...(endpoints && { endpoints }), controls });
    }
    return await house.deps.store
      .selectFrom("presentations")
      .innerJoin("presentation_keys", "presentation_keys.presentation_id", "presentations.id")
      .innerJoin("cups", "cups.presentation_id", "presentations.id")
      .select(["presentations.id", "presentations.seat_id as seatId"])
      .select(["presentations.set_kind as kind", "presentation_keys.control"])
      .select(({ fn }) => fn.count<number>("cups.id").as("cups"))
      .groupBy("presentations.id")
      .execute();
  };

  it("gets as many codes as it has cups, whatever it holds, so that no lack shows a control", async () => {
    const trays = await traysOf(4);
    expect(new Set(trays.map(({ control }) => control))).toEqual(
      new Set([null, "same-pot", "same-treatment"]),
    );
    for (const { id, seatId, cups, kind, control } of trays) {
      const again = await codesAgain(house.deps.store, { seatId, presentationId: id });
      expect([kind, control, new Set(again?.codes).size]).toEqual([kind, control, cups]);
    }
  });
});
