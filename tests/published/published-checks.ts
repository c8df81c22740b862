import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { z } from "zod";

const cell = z.number().nullable();

/**
 * One outside check. `origin` is `published` where a book, standard, article or page prints the values, `computed` where
 * another program worked them out from the source's definition. `precise` holds the printed values in full, by
 * another tool; ours must meet the printed digits and, far more tightly, those.
 */
const publishedCheck = z.strictObject({
  id: z.string(),
  description: z.string().min(1),
  source: z.string().min(1),
  origin: z.enum(["published", "computed"]),
  fromMemory: z.boolean(),
  quantity: z.string(),
  inputs: z.array(z.array(z.union([z.number(), z.string()]))).min(1),
  expected: z.array(cell).min(1),
  tolerance: z.strictObject({
    type: z.enum(["exact", "absolute", "relative"]),
    value: z.number().nonnegative(),
  }),
  precise: z.array(z.number()).optional(),
  preciseTool: z.string().optional(),
  note: z.string().optional(),
});

export type PublishedCheck = z.infer<typeof publishedCheck>;

/** Full-precision values of other tools: agreement asked of us, relative. */
const PRECISE = 1e-11;

/** How a quantity is computed from one row of a check's inputs. */
export type Quantity = (...inputs: (number | string)[]) => number | null;

export function readPublished(file: string): PublishedCheck[] {
  const text = readFileSync(new URL(file, import.meta.url), "utf8");
  return z.array(publishedCheck).parse(JSON.parse(text));
}

/** A test per check, named by what it shows and where it comes from. */
export function testPublished(file: string, quantities: Record<string, Quantity>): void {
  describe(`${file}`, () => {
    for (const check of readPublished(file)) it(titleOf(check), () => verify(check, quantities));
  });
}

function titleOf(check: PublishedCheck): string {
  const memory = check.fromMemory ? ", from memory" : "";
  return `${check.id}: ${check.description} [${check.source}${memory}]`;
}

function verify(check: PublishedCheck, quantities: Record<string, Quantity>): void {
  const quantity = quantities[check.quantity];
  if (quantity === undefined) throw new Error(`No quantity ${check.quantity}`);
  const { type, value: tolerance } = check.tolerance;
  expect(check.inputs).toHaveLength(check.expected.length);
  for (const [i, inputs] of check.inputs.entries()) {
    const ours = quantity(...inputs);
    const printed = check.expected[i] ?? null;
    const place = JSON.stringify(inputs);
    if (printed === null || ours === null) {
      expect(ours, place).toBe(printed);
      continue;
    }
    const allowed = type === "relative" ? tolerance * Math.abs(printed) : tolerance;
    expect(Math.abs(ours - printed), `${place} → ${ours}, printed ${printed}`).toBeLessThanOrEqual(
      allowed,
    );
    const precise = check.precise?.[i];
    if (precise === undefined) continue;
    expect(Math.abs(ours - precise), `${place} → ${ours}, exactly ${precise}`).toBeLessThanOrEqual(
      PRECISE * Math.abs(precise),
    );
  }
}
