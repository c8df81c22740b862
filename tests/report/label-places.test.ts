import { describe, expect, it } from "vitest";
import { labelPlaces } from "../../src/report/label-places.ts";

const size = { width: 10, height: 12 };

describe("Labels of dots", () => {
  it("stand at the right of a dot by itself", () => {
    expect(labelPlaces([{ x: 50, y: 50 }], 6, size)).toEqual([{ x: 12, y: 0 }]);
  });

  it("go to another side where a neighbour lies", () => {
    const [left, right] = labelPlaces(
      [
        { x: 50, y: 50 },
        { x: 64, y: 50 },
      ],
      6,
      size,
    );
    expect(left).toEqual({ x: -12, y: 0 });
    expect(right).toEqual({ x: 12, y: 0 });
  });

  it("run over no other dot and no other label, and are left out where they would", () => {
    const dots = Array.from({ length: 25 }, (_, at) => ({
      x: 12 * (at % 5),
      y: 12 * Math.floor(at / 5),
    }));
    const places = labelPlaces(dots, 6, size);
    expect(places[12]).toBeNull();
    const middles = places.flatMap((place, at) => {
      const dot = dots[at];
      return place && dot ? [{ x: dot.x + place.x, y: dot.y + place.y }] : [];
    });
    expect(middles.length).toBeGreaterThan(3);
    for (const one of middles) {
      const others = middles.filter((other) => other !== one);
      expect(
        others.every(({ x, y }) => Math.abs(x - one.x) >= 10 || Math.abs(y - one.y) >= 12),
      ).toBe(true);
      expect(dots.every(({ x, y }) => Math.abs(x - one.x) > 5 || Math.abs(y - one.y) > 6)).toBe(
        true,
      );
    }
  });
});
