import { type IonAmounts, type IonName, ionNames } from "../../src/water/ions.ts";
import { numberFrom } from "../form.ts";

/** Ions as people write them. */
const symbols: Readonly<Record<IonName, string>> = {
  calcium: "Ca",
  magnesium: "Mg",
  sodium: "Na",
  potassium: "K",
  bicarbonate: "HCO3",
  chloride: "Cl",
  sulfate: "SO4",
  citrate: "citrate",
};

/** What is written where it is known that nothing is added. */
const NONE = "none";

/** Amounts in mg/L as one line: `Ca 18, Mg 12`; `none` where there are none. */
export function ionText(ions: IonAmounts): string {
  const parts = ionNames.flatMap((ion) =>
    ions[ion] === undefined ? [] : [`${symbols[ion]} ${ions[ion]}`],
  );
  return parts.length === 0 ? NONE : parts.join(", ");
}

/**
 * Amounts in mg/L from one line such as `Mg 12, Ca 18,5 mg/L; HCO3 40`: symbols or names, each ion
 * once; `none` for no ions at all. Null when any part isn't an ion with a number.
 */
export function ionsFrom(text: string): IonAmounts | null {
  if (text.trim().toLowerCase() === NONE) return {};
  const parts = text.split(/[;\n]|,(?!\d)/).filter((part) => part.trim() !== "");
  const ions: Partial<Record<IonName, number>> = {};
  for (const part of parts) {
    const read = oneIon(part.trim());
    if (read === null || ions[read.ion] !== undefined) return null;
    ions[read.ion] = read.amount;
  }
  return ions;
}

function oneIon(part: string): { ion: IonName; amount: number } | null {
  const found = ionNames
    .map((ion) => ({ ion, rest: afterName(part, ion) }))
    .find(({ rest }) => rest !== null);
  const amount = numberFrom((found?.rest ?? "").replace(/mg(\s*\/\s*l)?$/i, ""));
  return found === undefined || amount === null ? null : { ion: found.ion, amount };
}

/** What follows an ion's symbol or name; null when the part starts otherwise. */
function afterName(part: string, ion: IonName): string | null {
  const name = new RegExp(`^(?:${symbols[ion]}|${ion})(?![a-z])\\s*[:=]?\\s*`, "i").exec(part);
  return name && part.slice(name[0].length);
}
