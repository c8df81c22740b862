import type { Store } from "../server/store/database.ts";
import { choosable } from "../src/experiment/ballot.ts";
import type { SetKind } from "../src/experiment/endpoint.ts";
import { groupBy, rightPosition } from "../src/report/observations.ts";

/** A set with the truth about its cups, which only a simulation may read before unblinding. */
export interface TrueSet {
  seat: number;
  ordinal: number;
  set: SetKind;
  coffeeId: string;
  pair: number;
  control: "same-pot" | "same-treatment" | null;
  /** The right answer, where one is right: the code that it names. */
  rightCode: string | null;
  /** Codes that an answer can name, in serving order. */
  choices: readonly string[];
  cups: { code: string; treatment: "A" | "B"; potLetter: string }[];
}

/** Every set of a sealed session by seat and order, with what its cups hold. */
export async function trueSets(db: Store, sessionId: string): Promise<TrueSet[]> {
  const rows = await db
    .selectFrom("cups")
    .innerJoin("cup_keys", "cup_keys.cup_id", "cups.id")
    .innerJoin("pots", "pots.id", "cup_keys.pot_id")
    .innerJoin("pot_keys", "pot_keys.pot_id", "pots.id")
    .innerJoin("presentations", "presentations.id", "cups.presentation_id")
    .innerJoin("presentation_keys", "presentation_keys.presentation_id", "presentations.id")
    .innerJoin("seats", "seats.id", "cups.seat_id")
    .select([
      "seats.number as seat",
      "presentations.ordinal",
      "presentations.set_kind as set",
      "presentation_keys.coffee_id as coffeeId",
      "presentation_keys.pair",
      "presentation_keys.control",
      "presentation_keys.odd_position as oddPosition",
      "presentation_keys.fellow_position as fellowPosition",
      "cups.position",
      "cups.code",
      "pot_keys.treatment",
      "pots.letter as potLetter",
    ])
    .where("pots.session_id", "=", sessionId)
    .orderBy("seats.number")
    .orderBy("presentations.ordinal")
    .orderBy("cups.position")
    .execute();
  const trays = groupBy(rows, ({ seat, ordinal }) => `${seat}/${ordinal}`);
  return [...trays.values()].flatMap(trueSet);
}

interface Row extends Pick<TrueSet, "seat" | "ordinal" | "set" | "coffeeId" | "pair" | "control"> {
  oddPosition: number | null;
  fellowPosition: number | null;
  position: number;
  code: string;
  treatment: "A" | "B";
  potLetter: string;
}

function trueSet(cups: readonly Row[]): TrueSet[] {
  const [first] = cups;
  if (first === undefined) return [];
  const { seat, ordinal, set, coffeeId, pair, control, oddPosition, fellowPosition } = first;
  const right = rightPosition({ set, oddPosition, fellowPosition, cups });
  const codes = cups.map(({ code }) => code);
  return [
    {
      ...{ seat, ordinal, set, coffeeId, pair, control },
      rightCode: cups.find(({ position }) => position === right)?.code ?? null,
      choices: choosable(set, codes),
      cups: cups.map(({ code, treatment, potLetter }) => ({ code, treatment, potLetter })),
    },
  ];
}
