/** Where a dot or the middle of a label lies in a drawing, in its units, y downwards. */
export interface Place {
  x: number;
  y: number;
}

export interface LabelSize {
  width: number;
  height: number;
}

/**
 * How far from its dot each dot's label stands: at its right, left, above or below, wherever it first
 * runs over no dot and no label placed before. Null where it would everywhere.
 */
export function labelPlaces(
  dots: readonly Place[],
  radius: number,
  size: LabelSize,
): (Place | null)[] {
  const placed: Place[] = [];
  const aside = radius + size.width / 2 + 1;
  const above = radius + size.height / 2 + 1;
  const sides = [
    { x: aside, y: 0 },
    { x: -aside, y: 0 },
    { x: 0, y: -above },
    { x: 0, y: above },
  ];
  return dots.map((dot) => {
    const free = sides.find((side) => {
      const middle = { x: dot.x + side.x, y: dot.y + side.y };
      return (
        !dots.some((other) => other !== dot && covers(middle, size, other, radius)) &&
        !placed.some((other) => overlap(middle, other, size))
      );
    });
    if (free === undefined) return null;
    placed.push({ x: dot.x + free.x, y: dot.y + free.y });
    return free;
  });
}

function covers(label: Place, { width, height }: LabelSize, dot: Place, radius: number): boolean {
  const across = Math.max(0, Math.abs(label.x - dot.x) - width / 2);
  const down = Math.max(0, Math.abs(label.y - dot.y) - height / 2);
  return Math.hypot(across, down) < radius;
}

function overlap(one: Place, other: Place, { width, height }: LabelSize): boolean {
  return Math.abs(one.x - other.x) < width && Math.abs(one.y - other.y) < height;
}
