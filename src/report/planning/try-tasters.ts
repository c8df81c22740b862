import type { PanelNeeds } from "./panel-test.ts";

/** Every size up to here is tried; more than one session seats. */
const MOST_TASTERS = 400;
/** A fall later than this could be followed by another beyond the end. */
const LAST_SURE = 300;

/** How many tasters are enough, by trying every number; null when none up to {@link MOST_TASTERS} is. */
export function tryTasters(isEnough: (tasters: number) => boolean): PanelNeeds | null {
  let smallest: number | undefined;
  let lastShort = 0;
  for (let tasters = 1; tasters <= MOST_TASTERS; tasters += 1) {
    if (!isEnough(tasters)) lastShort = tasters;
    else smallest ??= tasters;
  }
  if (smallest === undefined) return null;
  return { smallest, stable: lastShort < LAST_SURE ? lastShort + 1 : null };
}
