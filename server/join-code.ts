import type { Deps } from "./deps.ts";

/** Letters and digits that can't be mistaken for one another, without vowels, so that no word turns up. */
const SIGNS = "CDFGHJKMNPQRTVWXY34679";
const LENGTH = 6;

/** Sign values below this many come from whole rounds of the signs, so that each is as likely. */
const FAIR = 256 - (256 % SIGNS.length);

/** A fresh code to type on a phone: one of 113 million, which a rate limit makes too many to try. */
export function newJoinCode(deps: Pick<Deps, "randomBytes">): string {
  let code = "";
  while (code.length < LENGTH) {
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
