import { range } from "./balance.ts";
import { below, pick, type RandomSource, shuffle } from "./random.ts";

/** The cups that one taster gets at once, in one pouring round. */
export interface TrayRequest {
  seat: number;
  /** Index of the pouring round. */
  round: number;
  cups: number;
}

export interface CodeRequest {
  rounds: number;
  trays: readonly TrayRequest[];
  /** How many spare codes each pouring round holds ready, by index. */
  spares: readonly number[];
}

export interface AssignedCodes {
  /** For each tray its codes, in the order of the request. */
  trays: string[][];
  /** For each round its spare codes. */
  spares: string[][];
}

/**
 * Draws three-digit cup codes such that
 * - no taster meets a code twice in the session, and none occurs twice in a pouring round;
 * - the codes on one tray differ in at least two digits, so that one misread digit is noticed;
 * - spare codes occur nowhere else in the session, so that any taster can be given any of them;
 * - none is telling: see {@link codePool}.
 *
 * Returns undefined when the codes run out, which {@link roundCapacity} foretells for all but the
 * fullest rounds.
 */
export function assignCodes(request: CodeRequest, random: RandomSource): AssignedCodes | undefined {
  const pool = shuffle(random, codePool());
  const sparesNeeded = request.spares.reduce((sum, spares) => sum + spares, 0);
  if (sparesNeeded > pool.length) return undefined;
  const spare = pool.splice(0, sparesNeeded);
  const trays: string[][] = request.trays.map(() => []);
  const heldBySeat = new Map<number, Set<string>>();
  for (const round of range(request.rounds)) {
    const cups = cupsOfRound(request, round, trays, heldBySeat);
    if (!fillRound(cups, shuffle(random, pool), random)) return undefined;
  }
  return { trays, spares: request.spares.map((count) => spare.splice(0, count)) };
}

/** How many cups and own spares one pouring round can hold, beside the spares of the others. */
export function roundCapacity(sparesOfOtherRounds: number): number {
  return codePool().length - sparesOfOtherRounds;
}

/**
 * The 867 codes from 100 to 999 that say nothing: without repdigits (111 … 999, 666 among them),
 * runs up (123 … 789) and down (210 … 987), and round hundreds (100 … 900). People read rank, luck
 * or a joke into those, and a cup should be met without any. Common practice, no source.
 */
export function codePool(): string[] {
  return range(900)
    .map((at) => String(at + 100))
    .filter((code) => !isTelling(code));
}

function isTelling(code: string): boolean {
  const [hundreds = 0, tens = 0, ones = 0] = [...code].map(Number);
  const step = tens - hundreds;
  const isRun = ones - tens === step && Math.abs(step) <= 1;
  return isRun || (tens === 0 && ones === 0);
}

/** A cup that waits for its code. */
interface Cup {
  tray: string[];
  place: number;
  held: Set<string>;
}

function cupsOfRound(
  request: CodeRequest,
  round: number,
  trays: string[][],
  heldBySeat: Map<number, Set<string>>,
): Cup[] {
  return request.trays.flatMap((requested, at) => {
    if (requested.round !== round) return [];
    const held = heldBySeat.get(requested.seat) ?? new Set<string>();
    heldBySeat.set(requested.seat, held);
    const tray = pick(trays, at);
    return range(requested.cups).map((place) => ({ tray, place, held }));
  });
}

/** Gives every cup the first code of the shuffled pool that suits it, trading with an earlier cup when none does. */
function fillRound(cups: readonly Cup[], pool: string[], random: RandomSource): boolean {
  for (const [at, cup] of cups.entries()) {
    const found = pool.findIndex((code) => suits(code, cup));
    if (found >= 0) {
      give(cup, pick(pool.splice(found, 1), 0));
    } else if (!trade(cup, cups.slice(0, at), pool, random)) {
      return false;
    }
  }
  return true;
}

/** Near the end of a full round nothing left may suit: an earlier cup hands over its code and takes one of those left. */
function trade(cup: Cup, earlier: readonly Cup[], pool: string[], random: RandomSource): boolean {
  const start = earlier.length === 0 ? 0 : below(random, earlier.length);
  for (const step of range(earlier.length)) {
    const other = pick(earlier, (start + step) % earlier.length);
    const code = pick(other.tray, other.place);
    if (other.tray === cup.tray || !suits(code, cup)) continue;
    const replacement = pool.findIndex((left) => suits(left, other));
    if (replacement < 0) continue;
    other.held.delete(code);
    give(other, pick(pool.splice(replacement, 1), 0));
    give(cup, code);
    return true;
  }
  return false;
}

function suits(code: string, cup: Cup): boolean {
  if (cup.held.has(code)) return false;
  return cup.tray.every((other, place) => place === cup.place || digitsApart(code, other) >= 2);
}

function give(cup: Cup, code: string): void {
  cup.tray[cup.place] = code;
  cup.held.add(code);
}

/** In how many of their places two codes differ. */
export function digitsApart(one: string, other: string): number {
  return [...one].filter((digit, at) => digit !== other[at]).length;
}
