/**
 * The candidate with the fewest single-letter edits from a name; the first of equals.
 * Throws when there are no candidates.
 */
export function nearestOf(name: string, candidates: readonly string[]): string {
  const [first, ...rest] = candidates.map((candidate) => ({
    candidate,
    edits: editDistance(name.slice(0, LONGEST), candidate),
  }));
  if (first === undefined) throw new Error("There is nothing to be near to");
  return rest.reduce((best, next) => (next.edits < best.edits ? next : best), first).candidate;
}

/** Whether a name may well be a slip of the hand for another: at most a third of its letters differ. */
export function isSlipOf(name: string, candidate: string): boolean {
  return 3 * editDistance(name.slice(0, LONGEST), candidate) <= candidate.length;
}

/** Whoever types a name longer than this gets an answer from its start: the work grows with its length. */
const LONGEST = 100;

/** Insertions, deletions and replacements between two words. Source: Levenshtein (1966). */
function editDistance(from: string, to: string): number {
  let row = Array.from({ length: to.length + 1 }, (_, column) => column);
  for (const [index, letter] of [...from].entries()) {
    const next = [index + 1];
    for (const [column, other] of [...to].entries()) {
      const replaced = (row[column] ?? 0) + (letter === other ? 0 : 1);
      next.push(Math.min(replaced, (row[column + 1] ?? 0) + 1, (next[column] ?? 0) + 1));
    }
    row = next;
  }
  return row.at(-1) ?? 0;
}
