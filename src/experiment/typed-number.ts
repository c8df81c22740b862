/** A number as people write it: decimal point or comma, spaces around; null when it isn't one. */
export function numberFrom(text: string): number | null {
  const plain = text.trim().replace(",", ".");
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** A duration in seconds, typed as seconds or as minutes and seconds (`3:05`); null when it is neither. */
export function secondsFrom(text: string): number | null {
  const [, minutes, seconds] = /^(\d{1,3}):([0-5]\d)$/.exec(text.trim()) ?? [];
  return minutes === undefined || seconds === undefined
    ? numberFrom(text)
    : Number(minutes) * 60 + Number(seconds);
}
