import { MIXED_UP } from "../experiment/incident.ts";
import type { Evidence, MixUp, UnblindedBallot } from "./evidence.ts";
import type { MixUpReading } from "./findings.ts";

/** The evidence under each reading of its mixed-up sets. */
export interface MixUpReadings {
  sets: number;
  of: { reading: MixUpReading; evidence: Evidence }[];
}

/**
 * Reads a session's mixed-up sets in three ways: as scored under the sealed key, with the two codes
 * exchanged, and voided. A set that was voided and served again counts once in each: its first
 * answer, or the one that took its place. Null when no mixed-up set was answered.
 */
export function readingsOfMixUps(evidence: Evidence): MixUpReadings | null {
  const mixUps = mixUpsBySet(evidence);
  const sets = evidence.ballots.filter((ballot) => mixUps.has(setKey(ballot))).length;
  if (sets === 0) return null;
  const read = (reading: MixUpReading) => ({
    reading,
    evidence: {
      ...evidence,
      ballots: evidence.ballots.flatMap((ballot) => readBallot(ballot, mixUps, reading)),
    },
  });
  return { sets, of: [read("as-scored"), read("corrected"), read("voided")] };
}

/** Finds the mix-up that concerned a ballot, if one did. */
export function mixUpsByBallot(
  evidence: Pick<Evidence, "mixUps">,
): (ballot: UnblindedBallot) => MixUp | undefined {
  const mixUps = mixUpsBySet(evidence);
  return (ballot) => mixUps.get(setKey(ballot));
}

/** The code that the cup of `code` stood on by mistake; null for a cup that stood right. */
export function mixedWith(mixUp: MixUp | undefined, code: string): string | null {
  if (mixUp === undefined || !mixUp.codes.includes(code)) return null;
  return mixUp.codes.find((other) => other !== code) ?? null;
}

function mixUpsBySet({ mixUps }: Pick<Evidence, "mixUps">): ReadonlyMap<string, MixUp> {
  return new Map(mixUps?.map((mixUp) => [setKey(mixUp), mixUp]));
}

const setKey = (of: { seatId: string; ordinal: number }) => `${of.seatId}/${of.ordinal}`;

function readBallot(
  ballot: UnblindedBallot,
  mixUps: ReadonlyMap<string, MixUp>,
  reading: MixUpReading,
): UnblindedBallot[] {
  const { seatId, repeats } = ballot;
  const mixUp = mixUps.get(setKey(ballot));
  if (mixUp === undefined) {
    const replaces = repeats != null && mixUps.has(setKey({ seatId, ordinal: repeats }));
    return replaces && reading !== "voided" ? [] : [ballot];
  }
  if (reading === "voided") return [{ ...ballot, voidReason: ballot.voidReason ?? MIXED_UP }];
  // Voided for another reason, such as a withdrawal, it stays out of every reading.
  const voidReason = ballot.voidReason === MIXED_UP ? null : ballot.voidReason;
  const counted = { ...ballot, voidReason };
  return [reading === "corrected" ? withCodesExchanged(counted, mixUp.codes) : counted];
}

/** The ballot as its cups really stood: what two codes held, and the odd cup with them, exchanged. */
export function withCodesExchanged(
  ballot: UnblindedBallot,
  [code, otherCode]: readonly [string, string],
): UnblindedBallot {
  const one = ballot.cups.find((cup) => cup.code === code);
  const other = ballot.cups.find((cup) => cup.code === otherCode);
  if (one === undefined || other === undefined) return ballot;
  const holding = ({ potLetter, treatment }: typeof one) => ({ potLetter, treatment });
  const cups = ballot.cups.map((cup) => {
    if (cup === one) return { ...cup, ...holding(other) };
    return cup === other ? { ...cup, ...holding(one) } : cup;
  });
  const exchanged = { ...ballot, cups, oddPosition: oddAfter(ballot, one, other) };
  if (ballot.set !== "tetrad" || one.potLetter === other.potLetter) return exchanged;
  return { ...exchanged, fellowPosition: fellowIn(cups) };
}

/** Where two pots fill two cups each: the cup that shares its pot with the first one. */
function fellowIn([first, ...others]: readonly PlacedCup[]): number | null {
  return others.find(({ potLetter }) => potLetter === first?.potLetter)?.position ?? null;
}

type PlacedCup = UnblindedBallot["cups"][number];

/** Two cups of one pot are the same whichever stood where, so nothing moves between them. */
function oddAfter(
  { set, oddPosition: odd }: UnblindedBallot,
  one: PlacedCup,
  other: PlacedCup,
): number | null {
  if (one.potLetter === other.potLetter) return odd;
  // The odd cup stood as the reference, so that both others differed from it.
  if (set === "duo-trio" && Math.min(one.position, other.position) === 1) return null;
  if (odd === one.position) return other.position;
  return odd === other.position ? one.position : odd;
}
