import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { conductivity } from "../../src/water/conductivity.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { wordsOf, workedExample } from "./water-forms.ts";

const fresh = "/lead/water/batches/new";

/** A litre with 0.01 mol of potassium chloride, whose conductivity at 25 °C is 1408 µS/cm (OIML R 56). */
const potassiumChloride = {
  label: "Check water",
  kind: "base-water",
  amount: "1000",
  unit: "mL",
  temperature: "20",
  temperatureUnit: "C",
  madeOn: "2026-03-01",
  madeTime: "9:05",
  madeBy: "IK",
  "grams-potassium-chloride": "0,7455",
  "purity-potassium-chloride": "100",
  "lot-potassium-chloride": "L-17",
  measured: "none",
};

const conductivityReading = {
  measured: "conductivity",
  conductivity: "1408",
  sampleTemperature: "25",
  sampleTemperatureUnit: "C",
  compensated: "yes",
  readingTolerance: "1",
  parts: "1",
};

describe("Water batches", () => {
  let house: House;
  let lead: Visitor;
  beforeEach(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
    await lead.get(fresh);
  });
  afterEach(() => house.close());

  const record = async (form: Record<string, string>) => {
    const answer = await lead.post(fresh, form);
    expect(answer.statusCode).toBe(303);
    const path = answer.headers.location ?? "";
    return { path, words: wordsOf((await lead.get(path)).body) };
  };

  it("keep what was weighed, its lot and assay, when and by whom", async () => {
    const { words } = await record(potassiumChloride);
    expect(words).toContain("Base water, made 2026-03-01 09:05 by IK, 1000 mL at 20 °C");
    expect(words).toContain("potassium chloride 0.7455 g 100 % L-17");
    expect(words).toContain("Not measured yet");
    const list = wordsOf((await lead.get("/lead/water/batches")).body);
    expect(list).toContain("Check water Base water 2026-03-01 09:05 IK none not measured");
  });

  it("warn where a stock holds more of a salt than dissolves, and where it comes near", async () => {
    const epsom = (grams: string, kind = "stock") =>
      record({
        ...potassiumChloride,
        label: `E${grams}`,
        kind,
        "grams-potassium-chloride": "",
        "grams-magnesium-sulfate-heptahydrate": grams,
        "purity-magnesium-sulfate-heptahydrate": "100",
      });
    const { words } = await epsom("800");
    expect(words).toContain("Stop: magnesium sulfate heptahydrate: 800 g/L won&#x27;t dissolve");
    expect(words).toContain("CRC Handbook of Chemistry and Physics");
    expect((await epsom("400")).words).toContain(
      "Caution: magnesium sulfate heptahydrate: 400 g/L",
    );
    expect((await epsom("801", "brew-water")).words).toContain("801 g/L won&#x27;t dissolve");
    const { words: weak } = await epsom("40");
    for (const warning of ["Stop:", "Caution:"]) expect(weak).not.toContain(warning);
  });

  it("agree when the conductivity reads as the weighing predicts", async () => {
    const { words } = await record({ ...potassiumChloride, ...conductivityReading });
    expect(words).toContain("Conductivity, µS/cm 1408.0");
    expect(words).toMatch(/ agrees 25 °C 2026-03-01 09:05, IK/);
  });

  it("do not agree when half the salt is missing, and say what to check", async () => {
    const { path, words } = await record({
      ...potassiumChloride,
      ...conductivityReading,
      conductivity: "718",
    });
    expect(words).toContain("does not agree : check bottles, labels and weighings");
    expect(wordsOf((await lead.get("/lead/water/batches")).body)).toContain("does not agree");
    expect(path).toMatch(/^\/lead\/water\/batches\/./);
  });

  it("compare a reading without compensation at the sample's temperature, °F too", async () => {
    // 0.01 mol/L potassium chloride reads 1273 µS/cm at 20 °C (OIML R 56 and Standard Methods 2510).
    const reading = {
      conductivity: "1273",
      sampleTemperature: "68",
      sampleTemperatureUnit: "F",
      compensated: "no",
    };
    const { words } = await record({ ...potassiumChloride, ...conductivityReading, ...reading });
    expect(words).toMatch(/ agrees 20 °C \(measure at 25 ± 2 °C\)/);
  });

  it("are checked by titration with acid and EDTA", async () => {
    const hard = {
      ...potassiumChloride,
      "grams-potassium-chloride": "",
      "grams-calcium-chloride-dihydrate": "0.14701",
      "grams-sodium-bicarbonate": "0.16801",
      measured: "hardness",
      titrant: "10.0",
      molarity: "0.01",
      sample: "100",
      readingTolerance: "1",
      parts: "1",
    };
    // 1 mmol/L calcium is 100.1 mg/L as CaCO3 and takes 10 mL of 0.01 mol/L EDTA per 100 mL; 2 meq/L of
    // bicarbonate take 10 mL of 0.02 mol/L acid (Standard Methods 2340 C, 2320 B).
    const { path, words } = await record(hard);
    expect(words).toMatch(/Hardness, mg\/L as CaCO3 100\.1 100\.\d .*? agrees/);
    const acid = {
      measured: "alkalinity",
      titrant: "10",
      molarity: "0,02",
      sample: "100",
      readingTolerance: "1",
      parts: "1",
    };
    expect((await lead.post(`${path}/readings`, acid)).statusCode).toBe(303);
    expect(wordsOf((await lead.get(path)).body)).toMatch(
      /Alkalinity, mg\/L as CaCO3 100\.1 100\.\d .*? agrees/,
    );
  });

  it("made from other batches carry their ions, and a stock is checked in a dilution", async () => {
    const stock = {
      ...potassiumChloride,
      label: "Bottle 1",
      kind: "stock",
      "grams-potassium-chloride": "7.455",
    };
    const bottle = await record({ ...stock, ...conductivityReading, parts: "10" });
    expect(bottle.words).toContain("Conductivity, µS/cm, one part in 10");
    expect(bottle.words).toContain(" agrees ");
    const id = bottle.path.split("/").at(-1) ?? "";
    const water = {
      ...potassiumChloride,
      label: "Brew",
      kind: "brew-water",
      "grams-potassium-chloride": "",
      "from-1": id,
      "dosed-1": "100",
    };
    const { words } = await record({ ...water, ...conductivityReading });
    expect(words).toContain("Bottle 1 100 mL");
    const predicted = conductivity({ potassium: 390.98, chloride: 354.53 }, 25);
    expect(
      Math.abs(Number(/25 °C, µS\/cm ([\d.]+)/.exec(words)?.[1]) / predicted - 1),
    ).toBeLessThan(0.001);
    expect(words).toContain(" agrees ");
  });

  it("start from what a match asks for", async () => {
    await lead.get("/lead/water/match");
    const saved = await lead.post("/lead/water/match", {
      ...workedExample,
      act: "save",
      name: "Slate",
    });
    const match = (saved.headers.location ?? "").split("/").at(-1);
    const bottle = await lead.get(`${fresh}?match=${match}&what=stock-1`);
    expect(bottle.body).toContain('name="grams-magnesium-chloride-hexahydrate" value="5.17"');
    expect(bottle.body).toContain('name="purity-magnesium-chloride-hexahydrate" value="99"');
    const water = await lead.get(`${fresh}?match=${match}&what=brew-water`);
    expect(water.body).toContain('name="amount" value="1200"');
    expect(water.body).toContain('name="dosed-1" value="11.99"');
    const form = { ...potassiumChloride, label: "From Slate", match: match ?? "" };
    expect((await record(form)).words).toContain("from the match Slate");
  });

  it.each([
    [{ label: "" }, "label", "label of 1 to 60"],
    [{ madeBy: "" }, "madeBy", "who made it"],
    [{ madeOn: "yesterday" }, "madeOn", "like 2026-03-02"],
    [{ madeOn: "2026-02-30" }, "madeOn", "like 2026-03-02"],
    [{ amount: "9".repeat(400) }, "amount", "not plausible"],
    [{ madeTime: "9" }, "madeTime", "like 9:30"],
    [{ amount: "lots" }, "amount", "as a number"],
    [{ amount: "0" }, "amount", "above 0"],
    [{ temperature: "120" }, "temperature", "0 to 100"],
    [{ "grams-potassium-chloride": "-1" }, "grams-potassium-chloride", "0 or more"],
    [{ "purity-potassium-chloride": "130" }, "purity-potassium-chloride", "up to 110"],
    [{ "grams-potassium-chloride": "5000" }, "amount", "weigh more than the water"],
    [{ "dosed-1": "5" }, "from-1", "Choose the recorded batch"],
    [{ ...conductivityReading, conductivity: "" }, "conductivity", "as a number"],
    [{ ...conductivityReading, sampleTemperature: "150" }, "sampleTemperature", "5 to 90"],
    [{ ...conductivityReading, parts: "0" }, "parts", "undiluted"],
    [
      {
        measured: "colour",
        titrant: "1",
        molarity: "1",
        sample: "1",
        readingTolerance: "1",
        parts: "1",
      },
      "measured",
      "Choose what was measured",
    ],
  ])(
    "say at its field what is wrong with %o and keep what was typed",
    async (wrong, field, message) => {
      const answer = await lead.post(fresh, { ...potassiumChloride, note: "Kept words", ...wrong });
      expect(answer.statusCode).toBe(422);
      const error = new RegExp(
        `id="${field}-error">(?:<span class="sr">Mistake: </span>)?([^<]*)<`,
      ).exec(answer.body)?.[1];
      expect(error).toContain(message);
      expect(answer.body).toContain("Kept words");
      expect(answer.body).toContain(
        'name="lot-potassium-chloride" id="lot-potassium-chloride" value="L-17"',
      );
      expect(await house.deps.store.selectFrom("water_batches").selectAll().execute()).toEqual([]);
    },
  );

  it("are never changed or removed", async () => {
    await record({ ...potassiumChloride, ...conductivityReading });
    const { store } = house.deps;
    await expect(store.updateTable("water_batches").set({ label: "x" }).execute()).rejects.toThrow(
      "never changed",
    );
    await expect(store.deleteFrom("water_batches").execute()).rejects.toThrow("never changed");
    await expect(store.deleteFrom("water_readings").execute()).rejects.toThrow("never changed");
  });

  it("answer 404 where there is none, and refuse a reading of nothing", async () => {
    expect((await lead.get("/lead/water/batches/none")).statusCode).toBe(404);
    const { path } = await record(potassiumChloride);
    const nothing = await lead.post(`${path}/readings`, { measured: "none" });
    expect(nothing.statusCode).toBe(422);
    expect(nothing.body).toContain('id="measured-error"');
  });
});
