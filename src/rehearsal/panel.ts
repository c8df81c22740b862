import type { Kit, Presentation, Seat } from "../design/kit-records.ts";
import { questionsFor } from "../experiment/ballot.ts";
import type { SetKind } from "../experiment/endpoint.ts";
import type { Plan } from "../experiment/plan.ts";
import { setsServed } from "../experiment/served-sets.ts";
import type { Evidence, UnblindedBallot } from "../report/evidence.ts";
import type { Chance } from "./chance.ts";
import { type Asked, answerTo, pointsPerLogit } from "./palate.ts";
import { brewedPots } from "./pots.ts";
import type { Scenario } from "./scenarios.ts";

/** What a rehearsal plays: a plan, a kit drawn for it, and what is true. */
export interface Play {
  plan: Plan;
  kit: Kit;
  scenario: Scenario;
}

/** One simulated session, as the analysis reads a real one: the plan's tasters, nobody on a spare seat. */
export function simulatePanel({ plan, kit, scenario }: Play, chance: Chance): Evidence {
  const pots = pairLogits(kit, plan, scenario.assumptions.potSdLogit, chance);
  const seats = kit.seats.slice(0, plan.tasters);
  const ballots = seats.flatMap((seat) => sitting({ plan, kit, scenario }, seat, pots, chance));
  return {
    plan,
    seatsStarted: seats.length,
    ballotsExpected: seats.reduce((sum, { presentations }) => sum + presentations.length, 0),
    ballots,
    pots: brewedPots(plan, kit, scenario, chance),
    blind: { openedEarly: [], leadSawSheets: [] },
  };
}

/** By endpoint and brew pair, how much its pots differ by themselves. */
type PairLogits = ReadonlyMap<string, number>;

function pairLogits(kit: Kit, plan: Plan, sd: number, chance: Chance): PairLogits {
  const logits = new Map<string, number>();
  if (sd === 0) return logits;
  for (const { coffeeId, pair } of kit.pots) {
    for (const { id } of plan.endpoints) {
      const key = logitKey(id, coffeeId, pair);
      // Both pots of the pair come by; one draw is theirs together.
      if (!logits.has(key)) logits.set(key, sd * chance.normal());
    }
  }
  return logits;
}

const logitKey = (endpointId: string, coffeeId: string, pair: number) =>
  `${endpointId}/${coffeeId}/${pair}`;

/** One taster's ballots: all of them, or as many as before leaving. */
function sitting(play: Play, seat: Seat, pots: PairLogits, chance: Chance): UnblindedBallot[] {
  const { guessers, leavers, sensitivitySd } = play.scenario.assumptions;
  const guesses = chance.uniform() < guessers;
  // A log-normal sensitivity of mean 1.
  const sensitivity = guesses
    ? 0
    : Math.exp(sensitivitySd * chance.normal() - sensitivitySd ** 2 / 2);
  const served = seat.presentations.length;
  const stays = chance.uniform() >= leavers;
  const answered = stays ? served : Math.floor(chance.uniform() * served);
  return seat.presentations
    .slice(0, answered)
    .map((presentation) => ballot(play, seat, presentation, { pots, sensitivity }, chance));
}

interface Palate {
  pots: PairLogits;
  sensitivity: number;
}

function ballot(
  play: Play,
  seat: Seat,
  presentation: Presentation,
  palate: Palate,
  chance: Chance,
): UnblindedBallot {
  const { coffeeId, pair, replicate, ordinal, cups } = presentation;
  const set = setServed(play.plan, presentation);
  const asked = questionsFor(play.plan.endpoints, set).filter(isAsked);
  const answers = Object.fromEntries(
    asked.map((endpoint) => {
      const logit = palate.sensitivity * logitOf(play, endpoint, presentation, palate.pots);
      return [
        endpoint.id,
        answerTo(endpoint, { presentation, logit }, play.scenario.assumptions, chance),
      ];
    }),
  );
  return {
    seatId: `seat-${seat.seat}`,
    ordinal,
    coffeeId,
    pair,
    replicate,
    control: presentation.control ?? null,
    set,
    oddPosition: presentation.oddPosition ?? null,
    fellowPosition: presentation.fellowPosition ?? null,
    cups,
    answers,
    submittedAt: REHEARSED_AT,
    voidReason: null,
  };
}

function setServed(plan: Plan, { setKind }: Presentation): SetKind {
  const set = setsServed(plan).find((kind) => kind === setKind);
  if (!set) throw new Error(`The plan serves no ${setKind}`);
  return set;
}

/** No rule reads the time of a rehearsed answer. */
const REHEARSED_AT = "2000-01-01T00:00:00.000Z";

const isAsked = (endpoint: Plan["endpoints"][number]): endpoint is Asked =>
  endpoint.kind !== "extraction-yield";

/** The treatment's effect (none in a control pair) with what the pots add; one pot has no difference. */
function logitOf(
  { scenario }: Play,
  endpoint: Asked,
  { control, coffeeId, pair }: Presentation,
  pots: PairLogits,
): number {
  if (control === "same-pot") return 0;
  const effect = scenario.effects.get(endpoint.id)?.get(coffeeId) ?? 0;
  const ownPots = pots.get(logitKey(endpoint.id, coffeeId, pair)) ?? 0;
  if (control === "same-treatment") return ownPots;
  const logit =
    endpoint.kind === "attribute-score"
      ? effect / pointsPerLogit(scenario.assumptions.scorePoints)
      : 2 * Math.atanh(effect);
  return logit + ownPots;
}
