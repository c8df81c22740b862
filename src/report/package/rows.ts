import type { Answer } from "../../experiment/ballot.ts";
import type { Evidence, UnblindedBallot, UnblindedCup, UnblindedPot } from "../evidence.ts";
import { mixedWith, mixUpsByBallot } from "../mix-ups.ts";
import type { TableName } from "./tables.ts";

/** A row of a table by column; null is an empty cell. */
export type PackageRow = Record<string, string | number | boolean | null>;

/** The evidence of a session as the rows of the data package's tables. */
export function packageRows(evidence: Evidence): Record<TableName, PackageRow[]> {
  const { ballots, pots } = evidence;
  const mixUpOf = mixUpsByBallot(evidence);
  return {
    pots: pots.map(potRow),
    readings: pots.flatMap(readingRows),
    ballots: ballots.map((ballot) => ({
      ...ballotRow(ballot),
      mix_up: mixUpOf(ballot)?.resolution ?? null,
    })),
    cups: ballots.flatMap((ballot) =>
      ballot.cups.map((cup) => ({
        ...cupRow(ballot, cup),
        mixed_with: mixedWith(mixUpOf(ballot), cup.code),
      })),
    ),
    answers: ballots.flatMap(answerRows),
  };
}

const potName = (coffeeId: string, letter: string) => `${coffeeId}-${letter}`;

function potRow(pot: UnblindedPot): PackageRow {
  const { brew } = pot;
  return {
    pot: potName(pot.coffeeId, pot.letter),
    coffee: pot.coffeeId,
    pair: pot.pair,
    treatment: pot.treatment,
    control_pair: pot.controlPair,
    planned_brewer: pot.plannedBrewer,
    brewer: brew?.brewer ?? null,
    water_label: brew?.waterLabel ?? null,
    dose_g: brew?.doseGrams ?? null,
    brew_water_g: brew?.brewWaterGrams ?? null,
    beverage_g: brew?.beverageGrams ?? null,
    brew_s: brew?.brewSeconds ?? null,
    sample: brew?.sampleTiming ?? null,
    added_g: brew?.addedGrams ?? null,
    zero: brew?.refractometerZero ?? null,
    held_min: brew?.heldMinutes ?? null,
    served_c: brew?.servedCelsius ?? null,
    rejected: pot.rejected,
  };
}

function readingRows({ coffeeId, letter, brew }: UnblindedPot): PackageRow[] {
  const readings = brew?.tdsReadingsPercent ?? [];
  return readings.map((tds_percent, index) => ({
    pot: potName(coffeeId, letter),
    reading: index + 1,
    tds_percent,
  }));
}

const whose = ({ seatId, ordinal }: UnblindedBallot) => ({ seat: seatId, presentation: ordinal });

function ballotRow(ballot: UnblindedBallot): PackageRow {
  return {
    ...whose(ballot),
    coffee: ballot.coffeeId,
    pair: ballot.pair,
    repeat: ballot.replicate,
    control: ballot.control,
    set: ballot.set,
    odd_position: ballot.oddPosition,
    fellow_position: ballot.fellowPosition ?? null,
    received_at: ballot.submittedAt,
    seconds_on_screen: ballot.secondsOnScreen ?? null,
    void_reason: ballot.voidReason,
    served_again_for: ballot.repeats ?? null,
  };
}

function cupRow(ballot: UnblindedBallot, cup: UnblindedCup): PackageRow {
  const { position, code, potLetter, treatment } = cup;
  return {
    ...whose(ballot),
    position,
    code,
    pot: potName(ballot.coffeeId, potLetter),
    treatment,
  };
}

function answerRows(ballot: UnblindedBallot): PackageRow[] {
  return Object.entries(ballot.answers).flatMap(([endpoint, answer]) =>
    ballot.cups.map(({ position, code }) => ({
      ...whose(ballot),
      endpoint,
      position,
      code,
      ...answerCells(answer, code),
    })),
  );
}

function answerCells(answer: Answer, code: string): PackageRow {
  if ("cannotTell" in answer) return { chosen: null, cannot_tell: true, score: null };
  if ("scores" in answer) {
    return { chosen: null, cannot_tell: false, score: answer.scores[code] ?? null };
  }
  return { chosen: answer.chosen === code, cannot_tell: false, score: null };
}
