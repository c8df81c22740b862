/** A name or a word without what people type differently from time to time: case and spaces. */
export function plainName(name: string): string {
  return name.trim().replace(/\s+/g, " ").toLowerCase();
}
