/**
 * What tells the papers of one kit from those of another: the first eight digits of the commitment
 * to its key. It is on every sheet and on the session's page, so that an outdated sheet is noticed.
 */
export function kitMark(commitment: string): string {
  return commitment.slice(0, 8);
}
