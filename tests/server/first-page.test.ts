import { describe, expect, it } from "vitest";
import { type FirstPage, firstPageOf } from "../../server/report/first-page.ts";

const names = Array.from({ length: 12 }, (_, at) => `Coffee ${at + 1}`);

/** A short first page with so many coffees. */
const pageWith = (coffees: number, change: Partial<FirstPage> = {}): FirstPage => ({
  roastery: "",
  imported: false,
  question: "Does it matter?",
  treatments: "Tank against Pot",
  verdict: ["8 of 20 picked the odd cup."],
  process: "Nothing can be said beyond these pots.",
  advice: "Repeat it with more.",
  verdicts: names
    .slice(0, coffees)
    .map((name) => ({ name, seen: "2 of 5 picked the odd cup", verdict: "not settled" })),
  notes: [],
  plotted: names.slice(0, coffees),
  definitive: ["It takes 4 more brew pairs."],
  ...change,
});

const said = Array.from({ length: 40 }, (_, at) => `${at + 1}. ${"long ".repeat(20)}`);

describe("What to keep in mind on the first page", () => {
  it("is all of it where it fits", () => {
    expect(firstPageOf(pageWith(3), said.slice(0, 6))).toEqual({
      first: said.slice(0, 6),
      more: [],
    });
  });

  it("is as much of it as there is room for, from its beginning, and the rest goes on behind", () => {
    const { first, more } = firstPageOf(pageWith(3), said);
    expect(first.length).toBeGreaterThan(8);
    expect(first.length).toBeLessThan(25);
    expect([...first, ...more]).toEqual(said);
  });

  it.each<[string, FirstPage]>([
    ["more coffees", pageWith(6)],
    ["a longer question", pageWith(3, { question: "word ".repeat(80) })],
    ["more that would make it definitive", pageWith(3, { definitive: said.slice(0, 4) })],
    ["an outside panel's caution", pageWith(3, { imported: true })],
    [
      "verdicts of two lines",
      pageWith(3, {
        verdicts: names.slice(0, 3).map((name) => ({
          name,
          seen: "Soft-buffer water came out +0.4 points against House water on average",
          verdict: "close enough; it leans the other way",
        })),
      }),
    ],
  ])("leaves room for %s", (_what, page) => {
    const plain = firstPageOf(pageWith(3), said).first.length;
    expect(firstPageOf(page, said).first.length).toBeLessThan(plain);
  });

  it("is never less than how blind the session was", () => {
    expect(firstPageOf(pageWith(12), said).first).toEqual(said.slice(0, 1));
  });
});
