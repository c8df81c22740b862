/** A number as people write it: decimal point or comma, spaces around; null when it isn't one. */
export function numberFrom(text: string): number | null {
  const plain = text.trim().replace(",", ".");
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}
