import { z } from "zod";
import type { Composition } from "../../src/water/elements.ts";

const elements = z.enum(["H", "C", "N", "O", "Na", "Mg", "S", "Cl", "K", "Ca"]);

/** Atoms of a formula as handbooks print it, such as `Na3C6H5O7.2H2O`. */
export function formulaOf(formula: string): Composition {
  return formula.split(".").flatMap((part) => {
    const [, times, rest] = /^(\d*)(.+)$/.exec(part) ?? [];
    const atoms = [...(rest ?? "").matchAll(/([A-Z][a-z]?)(\d*)/g)];
    return atoms.map(([, element, count]): Composition[number] => {
      return [elements.parse(element), Number(count || 1) * Number(times || 1)];
    });
  });
}
