import {
  type BatchReading,
  checkReading,
  type ReadingCheck,
} from "../../src/water/batch-reading.ts";
import { conductivity } from "../../src/water/conductivity.ts";
import { alkalinity, hardness } from "../../src/water/ions.ts";
import { saltLabel } from "../../src/water/salts.ts";
import { batchCautions, batchIons, dilutedIons } from "../../src/water/water-batch.ts";
import type { RecordedBatch, RecordedReading } from "../store/water-batches.ts";
import { signless } from "./amounts.ts";
import { kindWords } from "./batch-draft.ts";
import { cautionRows } from "./caution-rows.ts";

/** One line of the list of batches. */
export function batchLine(batch: RecordedBatch) {
  return {
    id: batch.id,
    label: batch.label,
    kind: kindWords[batch.content.kind],
    madeAt: moment(batch.madeAt),
    madeBy: batch.madeBy,
    recipeName: batch.recipeName,
    verdict: overall(batch),
  };
}

/** All that a batch's own page says of it. */
export function batchView(batch: RecordedBatch) {
  const { content } = batch;
  const ions = batchIons(content);
  const { amount, unit } = content.madeUpTo;
  return {
    ...batchLine(batch),
    note: batch.note,
    cautions: cautionRows(batchCautions(content)),
    recipeId: batch.recipeId,
    total: `${Number(amount.toPrecision(6))} ${unit} at ${Number(content.temperature.toPrecision(4))} °C`,
    salts: content.salts.map(({ salt, grams, purity, lot }) => ({
      name: saltLabel(salt),
      grams: `${grams} g`,
      assay: `${Number((100 * purity).toPrecision(6))} %`,
      lot: lot === "" ? "not noted" : lot,
    })),
    doses: content.doses.map(({ batchId, label, millilitres }) => ({
      batchId,
      label,
      amount: `${millilitres} mL`,
    })),
    predicted: [
      ...Object.entries(ions).map(([ion, found = 0]) => ({
        what: `${ion}, mg/L`,
        value: found.toFixed(1),
      })),
      { what: "hardness, mg/L as CaCO3", value: hardness(ions).total.toFixed(1) },
      { what: "alkalinity, mg/L as CaCO3", value: alkalinity(ions).toFixed(1) },
      { what: "conductivity at 25 °C, µS/cm", value: conductivity(ions, 25).toFixed(1) },
    ],
    readings: batch.readings.map((reading) => readingLine(batch, reading)),
  };
}

function readingLine(batch: RecordedBatch, { reading, readAt, readBy }: RecordedReading) {
  const check = checked(batch, reading);
  return {
    readAt: moment(readAt),
    readBy,
    what: `${quantities[reading.kind]}${reading.parts === 1 ? "" : `, one part in ${reading.parts}`}`,
    temperature:
      reading.kind === "conductivity"
        ? `${Number(reading.sampleTemperature.toPrecision(4))} °C`
        : "",
    predicted: check.predicted.toFixed(1),
    measured: check.measured.toFixed(1),
    difference: signless(check.difference, 1),
    expanded: check.expandedUncertainty.toFixed(1),
    agrees: check.agrees,
    far: reading.kind === "conductivity" && Math.abs(reading.sampleTemperature - 25) > 2,
  };
}

const quantities: Readonly<Record<BatchReading["kind"], string>> = {
  conductivity: "Conductivity, µS/cm",
  hardness: "Hardness, mg/L as CaCO3",
  alkalinity: "Alkalinity, mg/L as CaCO3",
};

function overall(batch: RecordedBatch): string {
  if (batch.readings.length === 0) return "not measured";
  const all = batch.readings.every(({ reading }) => checked(batch, reading).agrees);
  return all ? "agrees" : "does not agree";
}

function checked({ content }: RecordedBatch, reading: BatchReading): ReadingCheck {
  const made = batchIons(content);
  return checkReading(dilutedIons(made, content.baseIons, reading.parts), reading);
}

function moment(at: string): string {
  return at.slice(0, 16).replace("T", " ");
}
