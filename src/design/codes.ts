import { range } from "./balance.ts";
import { below, pick, type RandomSource, sample } from "./random.ts";

/** The cups that one taster gets at once, in one pouring round. */
interface TrayRequest {
  seat: number;
  /** Index of the pouring round. */
  round: number;
  cups: number;
}

export interface CodeRequest {
  trays: readonly TrayRequest[];
  /** How many spare codes each pouring round holds ready, by index; its length is the number of rounds. */
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
 * - none is telling: see {@link CODE_POOL}.
 *
 * Returns undefined when the codes run out, which {@link roundCapacity} foretells for all but the
 * fullest rounds.
 */
export function assignCodes(request: CodeRequest, random: RandomSource): AssignedCodes | undefined {
  const sparesNeeded = request.spares.reduce((sum, spares) => sum + spares, 0);
  if (sparesNeeded > CODE_POOL.length) return undefined;
  const spare = sample(random, CODE_POOL, sparesNeeded);
  const reserved = new Set(spare);
  const pool = CODE_POOL.filter((code) => !reserved.has(code));
  const trays: string[][] = request.trays.map(() => []);
  for (const cups of cupsByRound(request, trays)) {
    if (!fillRound(cups, [...pool], random)) return undefined;
  }
  return { trays, spares: request.spares.map((count) => spare.splice(0, count)) };
}

/** How many cups and own spares one pouring round can hold, beside the spares of the others. */
export function roundCapacity(sparesOfOtherRounds: number): number {
  return CODE_POOL.length - sparesOfOtherRounds;
}

/**
 * The 867 codes from 100 to 999 that say nothing: without repdigits (111 … 999, 666 among them),
 * runs up (123 … 789) and down (210 … 987), and round hundreds (100 … 900). People read rank, luck
 * or a joke into those, and a cup should be met without any. Common practice, no source.
 */
export const CODE_POOL: readonly string[] = range(900)
  .map((at) => String(at + 100))
  .filter((code) => !isTelling(code));

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

function cupsByRound({ trays: requested, spares }: CodeRequest, trays: string[][]): Cup[][] {
  const rounds: Cup[][] = spares.map(() => []);
  const heldBySeat = new Map<number, Set<string>>();
  for (const [at, { seat, round, cups }] of requested.entries()) {
    const held = heldBySeat.get(seat) ?? new Set<string>();
    heldBySeat.set(seat, held);
    const tray = pick(trays, at);
    pick(rounds, round).push(...range(cups).map((place) => ({ tray, place, held })));
  }
  return rounds;
}

/** Gives every cup a code, trading with an earlier cup when none that is left suits it. */
function fillRound(cups: readonly Cup[], pool: string[], random: RandomSource): boolean {
  return cups.every(
    (cup, at) => draw(cup, pool, random) || trade(cup, cups.slice(0, at), pool, random),
  );
}

/** Takes from the pool a code that suits the cup, any such equally likely; false when there is none. */
function draw(cup: Cup, pool: string[], random: RandomSource): boolean {
  for (let untried = pool.length; untried > 0; untried -= 1) {
    const at = below(random, untried);
    const code = pick(pool, at);
    pool[at] = pick(pool, untried - 1);
    pool[untried - 1] = code;
    if (!suits(code, cup)) continue;
    pool.splice(untried - 1, 1);
    give(cup, code);
    return true;
  }
  return false;
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
