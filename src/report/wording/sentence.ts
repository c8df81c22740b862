/** A clause as a sentence: a capital in front, one full stop behind. */
export function sentence(clause: string): string {
  return `${clause.charAt(0).toUpperCase()}${clause.slice(1)}.`;
}
