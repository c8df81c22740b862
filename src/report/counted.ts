import type { Evidence, UnblindedBallot, UnblindedPot } from "./evidence.ts";

/** Ballots and pots of a session, sorted into those that count and those that a rule leaves out. */
export interface Counted {
  ballots: UnblindedBallot[];
  pots: UnblindedPot[];
  leftOut: { reason: string; count: number }[];
  rejectedPairs: { coffeeId: string; pair: number; reason: string }[];
}

/**
 * Leaves out voided ballots and everything of a rejected brew pair, and puts the rest into one
 * order, so that the same evidence gives the same findings in whatever order it came.
 */
export function countByRule(evidence: Evidence): Counted {
  const pots = inOrder(evidence.pots);
  const rejectedPairs = pairsRejected(pots);
  const gone = new Set(rejectedPairs.map(pairKey));
  const reasons = new Map<string, number>();
  const ballots = ballotsInOrder(evidence.ballots).filter((ballot) => {
    const reason = ballot.voidReason ?? (gone.has(pairKey(ballot)) ? BREW_PAIR_REJECTED : null);
    if (reason !== null) reasons.set(reason, (reasons.get(reason) ?? 0) + 1);
    return reason === null;
  });
  return {
    ballots,
    pots: pots.filter((pot) => !gone.has(pairKey(pot))),
    leftOut: [...reasons]
      .map(([reason, count]) => ({ reason, count }))
      .sort((a, b) => compare(a.reason, b.reason)),
    rejectedPairs,
  };
}

/** Every ballot and pot, voided and rejected ones too: for the analysis repeated with them. */
export function countAll(evidence: Evidence): Counted {
  return {
    ballots: ballotsInOrder(evidence.ballots),
    pots: inOrder(evidence.pots),
    leftOut: [],
    rejectedPairs: [],
  };
}

/** Why a ballot left that was answered on a brew pair rejected afterwards. */
export const BREW_PAIR_REJECTED = "brew pair rejected";

/** Names a brew pair over the whole session. */
export const pairKey = (of: { coffeeId: string; pair: number }) => `${of.coffeeId}/${of.pair}`;

function pairsRejected(pots: readonly UnblindedPot[]): Counted["rejectedPairs"] {
  const rejected = new Map<string, Counted["rejectedPairs"][number]>();
  for (const pot of pots) {
    if (pot.rejected === null || rejected.has(pairKey(pot))) continue;
    rejected.set(pairKey(pot), { coffeeId: pot.coffeeId, pair: pot.pair, reason: pot.rejected });
  }
  return [...rejected.values()];
}

function inOrder(pots: readonly UnblindedPot[]): UnblindedPot[] {
  return pots.toSorted(
    (a, b) => compare(a.coffeeId, b.coffeeId) || a.pair - b.pair || compare(a.letter, b.letter),
  );
}

function ballotsInOrder(ballots: readonly UnblindedBallot[]): UnblindedBallot[] {
  return ballots.toSorted((a, b) => compare(a.seatId, b.seatId) || a.ordinal - b.ordinal);
}

/** By code units, the same on every machine. */
function compare(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
