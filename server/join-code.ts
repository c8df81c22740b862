import type { Deps } from "./deps.ts";

/** Letters and digits that can't be mistaken for one another, without vowels, so that no word turns up. */
const SIGNS = "CDFGHJKMNPQRTVWXY34679";
const JOIN_LENGTH = 6;
const SEAT_LENGTH = 8;

/** Sign values below this many come from whole rounds of the signs, so that each is as likely. */
const FAIR = 256 - (256 % SIGNS.length);

/**
 * A fresh code to join a session by: one of 113 million. One address tries about 120 in a minute
 * (server/taster/code-guesses.ts), so guessing one takes it months; what it opens is a place to taste,
 * and no more.
 */
export function newJoinCode(deps: Pick<Deps, "randomBytes">): string {
  return drawCode(deps, JOIN_LENGTH);
}

/** A fresh code that takes over somebody's seat, hence longer: one of 55 thousand million. */
export function newSeatCode(deps: Pick<Deps, "randomBytes">): string {
  return drawCode(deps, SEAT_LENGTH);
}

function drawCode(deps: Pick<Deps, "randomBytes">, length: number): string {
  let code = "";
  while (code.length < length) {
    const drawn = deps.randomBytes(1)[0] ?? 0;
    if (drawn < FAIR) code += SIGNS.charAt(drawn % SIGNS.length);
  }
  return code;
}

/** A join code as people type it (small letters, spaces, hyphens) in the one form that is stored. */
export function readJoinCode(typed: string): string {
  return typed.replace(/[\s-]/g, "").toUpperCase();
}

/** The address that opens a session on a phone. */
export function joinLink(deps: Pick<Deps, "publicUrl">, joinCode: string): string {
  return `${deps.publicUrl()}/join/${joinCode}`;
}
