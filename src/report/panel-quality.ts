import { type Endpoint, methodOf } from "../experiment/endpoint.ts";
import { gridOf } from "../statistics/decimals.ts";
import { describe } from "../statistics/descriptive.ts";
import { methods } from "../statistics/discrimination.ts";
import type { UnblindedBallot } from "./evidence.ts";
import { groupBy, observe } from "./observations.ts";

/** Seconds that phones showed a set, over the ballots that say so. */
export interface TimeFinding {
  ballots: number;
  medianSeconds: number;
  lowerQuartileSeconds: number;
  upperQuartileSeconds: number;
  /** The taster with the shortest median of their own. */
  quickest: { seatId: string; ballots: number; medianSeconds: number };
}

/** How alike one taster answered one question about the same two pots twice. */
export interface RepeatFinding {
  endpointId: string;
  /** Answers compared with the same taster's answer before. */
  compared: number;
  tasters: number;
  /** Pairs of answers that were the same; null for scores. */
  agreed: number | null;
  /** How many would be the same if everyone guessed; null for scores. */
  agreedByGuessing: number | null;
  /** Mean absolute change of the difference that was scored, in points; null for picks. */
  meanAbsoluteChange: number | null;
}

/** What the answers say of the panel itself, whatever the cups held. */
export interface PanelQuality {
  time: TimeFinding | null;
  repeats: RepeatFinding[];
}

/** Time per ballot and agreement of repeats, over the ballots that count. */
export function panelQuality(
  endpoints: readonly Endpoint[],
  ballots: readonly UnblindedBallot[],
): PanelQuality {
  return {
    time: timeFinding(ballots),
    repeats: endpoints.flatMap((endpoint) => repeatFinding(endpoint, ballots)),
  };
}

function timeFinding(ballots: readonly UnblindedBallot[]): TimeFinding | null {
  const timed = ballots.flatMap(({ seatId, secondsOnScreen }) =>
    typeof secondsOnScreen === "number" ? [{ seatId, seconds: secondsOnScreen }] : [],
  );
  const tasters = [...groupBy(timed, ({ seatId }) => seatId)].map(([seatId, own]) => ({
    seatId,
    ballots: own.length,
    medianSeconds: describe(gridOf(own.map(({ seconds }) => seconds))).median,
  }));
  const [first, ...others] = tasters;
  if (first === undefined) return null;
  const all = describe(gridOf(timed.map(({ seconds }) => seconds)));
  return {
    ballots: all.n,
    medianSeconds: all.median,
    lowerQuartileSeconds: all.lowerQuartile,
    upperQuartileSeconds: all.upperQuartile,
    quickest: others.reduce(
      (quick, taster) => (taster.medianSeconds < quick.medianSeconds ? taster : quick),
      first,
    ),
  };
}

/** Each answer beside the one that the same taster gave before about the same two pots. */
function repeatFinding(endpoint: Endpoint, ballots: readonly UnblindedBallot[]): RepeatFinding[] {
  if (endpoint.kind === "extraction-yield") return [];
  const tests = ballots.filter(({ control }) => control === null);
  const { observations } = observe(endpoint, tests);
  const met = groupBy(
    observations,
    ({ seatId, coffeeId, pair }) => `${seatId}/${coffeeId}/${pair}`,
  );
  const pairs = [...met.values()].flatMap((answers) =>
    answers.slice(1).map((answer, index) => ({
      seatId: answer.seatId,
      change: Math.abs(answer.value - (answers[index]?.value ?? 0)),
    })),
  );
  if (pairs.length === 0) return [];
  const total = pairs.reduce((sum, { change }) => sum + change, 0);
  return [
    {
      endpointId: endpoint.id,
      compared: pairs.length,
      tasters: new Set(pairs.map(({ seatId }) => seatId)).size,
      ...agreement(endpoint, pairs.length, total),
    },
  ];
}

function agreement(
  endpoint: Exclude<Endpoint, { kind: "extraction-yield" }>,
  compared: number,
  change: number,
): Pick<RepeatFinding, "agreed" | "agreedByGuessing" | "meanAbsoluteChange"> {
  if (endpoint.kind === "attribute-score") {
    return { agreed: null, agreedByGuessing: null, meanAbsoluteChange: change / compared };
  }
  const { guessing } = methods[methodOf(endpoint)];
  return {
    agreed: compared - change,
    agreedByGuessing: compared * (guessing ** 2 + (1 - guessing) ** 2),
    meanAbsoluteChange: null,
  };
}
