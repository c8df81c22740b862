export interface NumberReader {
  /** The number of a field; a field that holds none is noted and counts as 0. */
  (name: string, what: string): number;
  errors: Record<string, string>;
}

/** Reads a form's numbers one by one and gathers what is wrong, by field name. */
export function numberReader(numberOf: (name: string) => number | null): NumberReader {
  const errors: Record<string, string> = {};
  const read = (name: string, what: string): number => {
    const number = numberOf(name);
    if (number !== null) return number;
    errors[name] ??= `Give ${what} as a number.`;
    return 0;
  };
  return Object.assign(read, { errors });
}
