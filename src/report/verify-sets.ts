import { z } from "zod";
import type { Key } from "../design/seal.ts";
import { fellowPosition, oddPosition, type SetKind } from "../design/serving-orders.ts";
import type { SessionEvent } from "../experiment/event.ts";
import type { ControlKind } from "./evidence.ts";

/** A set as a published session or a data file holds it. */
export interface HeldSet {
  /** Undefined where nobody is known to have taken the seat. */
  seat: number | undefined;
  ordinal: number;
  coffeeId: string;
  pair: number;
  replicate: number;
  control: ControlKind | null;
  set: SetKind;
  oddPosition: number | null;
  fellowPosition?: number | null | undefined;
  /** Letters name pots within a coffee only. */
  cups: readonly { position: number; code: string; coffeeId: string; potLetter: string }[];
}

/** What the check is called wherever it is made. */
export const SETS_AS_KEYED = "Every set has the cups and the right answer that the key gives it";

/**
 * How many sets are not what the key says, together with the spilled cups and the sets served again
 * that the log tells of: another place, kind or control, other pots or codes, another right answer.
 */
export function setsUnlikeKey(
  sets: readonly HeldSet[],
  key: Key,
  events: readonly SessionEvent[],
): number {
  const expected = setsAsServed(key, events);
  return sets.filter((held) => {
    const drawn = expected.get(`${held.seat}/${held.ordinal}`);
    return drawn === undefined || describe(held) !== describe(drawn);
  }).length;
}

function describe(held: HeldSet): string {
  const { coffeeId, pair, replicate, control, set } = held;
  const cups = held.cups
    .toSorted((one, other) => one.position - other.position)
    .map((cup) => [cup.code, cup.coffeeId, cup.potLetter]);
  const right = [held.oddPosition, held.fellowPosition ?? null];
  return JSON.stringify([coffeeId, pair, replicate, control, set, right, cups]);
}

const spilled = z.object({
  seat: z.int(),
  ordinal: z.int(),
  code: z.string(),
  newCode: z.string(),
});
const again = z.object({
  seat: z.int(),
  repeats: z.int(),
  ordinal: z.int(),
  codes: z.array(z.string()),
});

/** The sets by seat and ordinal: as drawn, then as incidents changed their codes. */
function setsAsServed(key: Key, events: readonly SessionEvent[]): Map<string, HeldSet> {
  const sets = new Map(key.presentations.map((drawn) => [nameOf(drawn), asDrawn(drawn)]));
  for (const { kind, body } of events) {
    if (kind === "incident-spill") pourAnew(sets, spilled.safeParse(body).data);
    if (kind === "incident-again") serveAgain(sets, again.safeParse(body).data);
  }
  return sets;
}

const nameOf = ({ seat, ordinal }: { seat: number; ordinal: number }) => `${seat}/${ordinal}`;

/** In a same-pot control the arms say which cup counts as right, as in every other set. */
function asDrawn({ setKind, control, arms, cups, ...own }: Key["presentations"][number]): HeldSet {
  return {
    ...own,
    control: control ?? null,
    set: setKind,
    oddPosition: oddPosition(setKind, [...arms]) ?? null,
    fellowPosition: fellowPosition(setKind, [...arms]) ?? null,
    cups: cups.map((cup, at) => ({ ...cup, position: at + 1, coffeeId: own.coffeeId })),
  };
}

function pourAnew(sets: Map<string, HeldSet>, spill?: z.output<typeof spilled>): void {
  if (spill === undefined) return;
  const set = sets.get(nameOf(spill));
  if (set === undefined) return;
  const cups = set.cups.map((cup) =>
    cup.code === spill.code ? { ...cup, code: spill.newCode } : cup,
  );
  sets.set(nameOf(spill), { ...set, cups });
}

function serveAgain(sets: Map<string, HeldSet>, act?: z.output<typeof again>): void {
  if (act === undefined) return;
  const set = sets.get(nameOf({ seat: act.seat, ordinal: act.repeats }));
  if (set === undefined) return;
  const cups = set.cups.map((cup, at) => ({ ...cup, code: act.codes[at] ?? "" }));
  sets.set(nameOf(act), { ...set, ordinal: act.ordinal, cups });
}
