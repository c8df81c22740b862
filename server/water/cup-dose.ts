import type { FastifyPluginAsync } from "fastify";
import { ionsFromSalts } from "../../src/water/recipe.ts";
import { saltLabel, saltNames, saltTable } from "../../src/water/salts.ts";
import { stockCautions } from "../../src/water/stock.ts";
import { errorSummary, type FieldErrors, fieldMaker, formOf } from "../form.ts";
import { amountsIn } from "./amounts.ts";
import { cautionRows } from "./caution-rows.ts";
import {
  type CupDoseDraft,
  type CupDoseRequest,
  cupDoseUnits,
  readCupDose,
  typedCupDose,
} from "./cup-dose-draft.ts";

/** Drops or millilitres of a stock into one cup: to reach a target, or what drops did. Kept in the address. */
export function cupDose(): FastifyPluginAsync {
  return async (app) => {
    app.get("/lead/water/cup-dose", { config: { access: "lead" } }, async (request, reply) => {
      const query = formOf(request.query);
      const draft = typedCupDose(query);
      const asked = Object.keys(query).length > 0;
      const read = readCupDose(draft);
      const errors = asked && !read.ok ? read.errors : {};
      if (asked && !read.ok) reply.code(422);
      return reply.page("water/cup-dose", {
        title: "Dose a cup",
        stylesheet: "water.css",
        form: cupDoseForm(draft, errors),
        result: asked && read.ok ? cupDoseResult(draft, read.request) : null,
      });
    });
  };
}

function cupDoseForm(draft: CupDoseDraft, errors: FieldErrors) {
  const field = fieldMaker(draft, errors);
  const asksDrops = draft.asks === "drops";
  return {
    errors: errorSummary(errors),
    salts: saltNames.map((salt) => ({
      value: salt,
      label: `${saltLabel(salt)} (${saltTable[salt].eNumber ?? "a food itself"})`,
      selected: salt === draft.salt,
    })),
    units: [
      { value: "metric", label: "g", selected: draft.units !== "us" },
      { value: "us", label: "oz", selected: draft.units === "us" },
    ],
    stock: field("stockGramsPerLitre", "Strength of the stock, g/L of that salt", {
      type: "decimal",
    }),
    beverage: field("beverage", "Coffee in the cup", { type: "decimal" }),
    asks: [
      {
        id: "asks",
        value: "target",
        label: "How much reaches a target",
        hint: null,
        checked: !asksDrops,
      },
      {
        id: "asks-drops",
        value: "drops",
        label: "What a number of drops did",
        hint: null,
        checked: asksDrops,
      },
    ],
    target: field("target", "Target in the cup, mg/L of that salt", { type: "decimal" }),
    drops: field("drops", "Drops given", { type: "decimal" }),
    calibration: [
      field("countedDrops", "Drops counted in each weighing", { type: "whole" }),
      field("weighings", "Weighings of that many drops of water, g", {
        hint: "Three or more, with a space between them. Leave empty for a dropper that nobody has weighed.",
      }),
      field("scaleStep", "Step of that scale, g", { type: "decimal" }),
    ],
  };
}

function cupDoseResult(draft: CupDoseDraft, request: CupDoseRequest) {
  const { salt, dose, dropper, calibrated, stockGramsPerLitre } = request;
  const amounts = amountsIn(cupDoseUnits(draft));
  const expanded = 2 * dose.standardUncertainty;
  const ions = ionsFromSalts([{ salt, milligramsPerLitre: dose.milligramsPerLitre }]);
  const storage = { baseIons: {}, temperature: 20 };
  return {
    volume: amounts.volume(dose.millilitres, 2),
    drops: dose.drops.toFixed(1),
    wholeDrops: String(Math.round(dose.drops)),
    concentration: dose.milligramsPerLitre.toFixed(1),
    expanded: expanded.toFixed(1),
    range: `${Math.max(0, dose.milligramsPerLitre - expanded).toFixed(0)} to ${(dose.milligramsPerLitre + expanded).toFixed(0)}`,
    dropSize: amounts.volume(dropper.dropMillilitres, 4),
    dropSpread: (100 * dropper.dropRelativeUncertainty).toFixed(1),
    calibrated,
    dilution: dose.dilutionPercent.toFixed(2),
    ions: Object.entries(ions).map(([ion, amount = 0]) => ({ ion, amount: amount.toFixed(1) })),
    cautions: cautionRows(stockCautions([{ salt, gramsPerLitre: stockGramsPerLitre }], storage)),
  };
}
