import type { MatchDraft } from "./match-draft.ts";

/** A round button of a group. */
export interface Choice {
  id: string;
  value: string;
  label: string;
  hint: string | null;
  checked: boolean;
}

/** Value, label and hint of each button. */
type ChoiceWords = readonly (readonly [value: string, label: string, hint: string | null])[];

/** The buttons of a group; the first one is pressed where none was. Its id is the field's name. */
export function choices(draft: MatchDraft, name: string, list: ChoiceWords): Choice[] {
  const known = list.some(([value]) => value === draft[name]);
  return list.map(([value, label, hint], index) => ({
    id: index === 0 ? name : `${name}-${value}`,
    value,
    label,
    hint,
    checked: known ? draft[name] === value : index === 0,
  }));
}

export const armChoices: ChoiceWords = [
  ["same", "The same minerals in both, before against after brewing", null],
  ["before-only", "Minerals in one arm only, before brewing", "The other arm gets none."],
  ["after-only", "Minerals in one arm only, after brewing", "The other arm gets none."],
  [
    "different",
    "Different amounts before and after",
    "The second set of amounts is for after brewing.",
  ],
];

export const targetChoices: ChoiceWords = [
  ["hardness", "Hardness and alkalinity", null],
  ["ions", "Ions", null],
  ["salts", "Salts", null],
];

export const wayChoices: ChoiceWords = [
  ["one-stock", "One stock for both arms", "Errors of the stock move both cups alike and cancel."],
  [
    "double-dummy",
    "Double dummy",
    "Both arms get two additions, one of them plain base water: nobody can tell which.",
  ],
  ["weighed", "Salts weighed for each arm", "Needed when the arms get different minerals."],
];

export const doseChoices: ChoiceWords = [
  ["scale", "Weighed on the fine scale", null],
  ["pipette", "By pipette or syringe", null],
];
