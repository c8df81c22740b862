import { emptyMatch } from "../../server/water/match-draft.ts";

/** The match form as a browser sends it: the page's own defaults with some fields typed over. */
export function typed(changes: Record<string, string>): Record<string, string> {
  const all = { ...emptyMatch, ...changes };
  return Object.fromEntries(Object.entries(all).filter(([name, value]) => sends(name, value)));
}

/** A box that is not ticked sends nothing. */
function sends(name: string, value: string): boolean {
  return !name.startsWith("have-") || value === "yes";
}

/**
 * An invented brew that was worked out by hand and by an independent program (own example, no outside
 * source): 26.0 g of coffee, 390 g of water, 336 g of beverage; magnesium 12, calcium 18 mg/kg and
 * 0.8 meq/kg of alkalinity in the cup; two bottles of 500 g dosed at 1 % each; one stock.
 */
export const workedExample = typed({
  doseGrams: "26",
  brewWaterGrams: "390",
  beverageGrams: "336",
  target: "ions",
  "ions-magnesium": "12",
  "ions-calcium": "18",
  // 0.8 meq/L of bicarbonate.
  "ions-bicarbonate": "48.8134",
  "purity-magnesium-chloride-hexahydrate": "99.0",
  "purity-calcium-chloride-dihydrate": "99.5",
  "purity-potassium-bicarbonate": "99.8",
  "base-calcium": "1.0",
  "base-magnesium": "0.3",
  "base-sodium": "2.2",
  "base-chloride": "1.8",
  "base-sulfate": "1",
  "base-bicarbonate": "6.4",
  batchGrams: "1200",
  stockMillilitres: "500",
  doseMillilitres: "6.72",
  kettleLossPercent: "0.6",
  ...Object.fromEntries(
    [
      "calcium",
      "magnesium",
      "sodium",
      "potassium",
      "bicarbonate",
      "chloride",
      "sulfate",
      "citrate",
    ].flatMap((ion) => [
      [`transfer-${ion}`, "0.997"],
      [`spread-${ion}`, ion === "calcium" ? "0.05" : "0.01"],
    ]),
  ),
  stockTolerance: "0",
});

/** The words of a page as they are read, tags gone. */
export function wordsOf(html: string): string {
  return html.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");
}

/** The cells of an ion's row in the table of mismatches, its name left out. */
export function ionRow(html: string, ion: string): string[] {
  const table = /aria-label="Mismatch by ion"[\s\S]*?<\/table>/.exec(html)?.[0] ?? "";
  const row = new RegExp(`<th scope="row">${ion}</th>([\\s\\S]*?)</tr>`).exec(table)?.[1] ?? "";
  return [...row.matchAll(/<td[^>]*>([^<]*)<\/td>/g)].map(([, cell = ""]) => cell);
}

/** Rows of every table whose caption starts so: heading and first cell of each row. */
export function cellsOf(html: string, caption: string): string[][][] {
  const tables = html.matchAll(/<caption class="sr">([^<]*)<\/caption>([\s\S]*?)<\/table>/g);
  return [...tables]
    .filter(([, title = ""]) => title.startsWith(caption))
    .map(([, , body = ""]) =>
      [...body.matchAll(/<th scope="row">([^<]*)<\/th><td[^>]*>([^<]*)<\/td>/g)].map(
        ([, what = "", amount = ""]) => [what, amount],
      ),
    );
}
