/** A sheet of labels as it is cut. Its measures in millimetres are in print.css, by the id. */
export interface LabelGrid {
  id: string;
  name: string;
  perPage: number;
  /** Plain paper: the lines to cut along are printed. */
  cutLines: boolean;
}

/**
 * Label sheets as they are commonly cut, and plain paper for scissors that fits A4 and Letter alike.
 * Common practice, no source.
 */
export const labelGrids = [
  { id: "a4-3x8", name: "A4, 3 × 8 labels of 70 × 37 mm", perPage: 24, cutLines: false },
  { id: "a4-5x13", name: "A4, 5 × 13 labels of 38 × 21 mm", perPage: 65, cutLines: false },
  { id: "letter-3x10", name: "Letter, 3 × 10 labels of 67 × 25 mm", perPage: 30, cutLines: false },
  {
    id: "plain-4x10",
    name: "Plain paper, A4 or Letter, 4 × 10 of 46 × 25 mm, with lines to cut along",
    perPage: 40,
    cutLines: true,
  },
] as const satisfies readonly LabelGrid[];

/** The grid of a name; the first one when there is none of that name. */
export function labelGrid(id: string): LabelGrid {
  return labelGrids.find((grid) => grid.id === id) ?? labelGrids[0];
}
