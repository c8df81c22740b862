import type { SittingTimes } from "../store/blind.ts";

/*
 * What a phone says of the pace of its sitting, as far as it can be so: its clock may have been put
 * right meanwhile, and anyone may send any number.
 */

/**
 * When an answer was given that waited `secondsAgo` on its phone; null, for not known, where that is
 * before its session was opened or its seat was taken.
 *
 * @param at when it came in.
 */
export function answeredAt(secondsAgo: number, at: string, sitting: SittingTimes): string | null {
  const given = Date.parse(at) - secondsAgo * 1000;
  const since = [sitting.openedAt, sitting.joinedAt].filter((moment) => moment !== null);
  return since.every((moment) => given >= Date.parse(moment))
    ? new Date(given).toISOString()
    : null;
}

/** Seconds rested before a set; null where the seat has not been taken for that long. */
export function believableRest(
  seconds: number | null,
  at: string,
  { joinedAt }: SittingTimes,
): number | null {
  if (seconds === null || joinedAt === null) return seconds;
  return seconds * 1000 <= Date.parse(at) - Date.parse(joinedAt) ? seconds : null;
}
