import { ionsForHardness } from "../../src/water/hardness-target.ts";
import { type IonAmounts, type IonName, ionNames } from "../../src/water/ions.ts";
import { type SaltAmount, type SaltRecipe, saltsForIons } from "../../src/water/recipe.ts";
import { type SaltName, saltNames } from "../../src/water/salts.ts";
import type { MatchDraft } from "./match-draft.ts";
import type { NumberReader } from "./number-reader.ts";

/** What each arm is to get, as salts, with how near the salts at hand come to wished ions. */
export interface Targets {
  salts: SaltAmount[];
  afterSalts: SaltAmount[];
  /** Null where the target is typed as salts. */
  fit: SaltRecipe | null;
  otherFit: SaltRecipe | null;
  errors: Record<string, string>;
}

/** Reads the targets of both arms; ions and hardness become salts through what is at hand. */
export function readTargets(draft: MatchDraft, read: NumberReader): Targets {
  const main = oneTarget(draft, read, "");
  if (draft.arms === "before-only") return { ...main, afterSalts: [], otherFit: null };
  if (draft.arms === "after-only") {
    return { ...main, salts: [], afterSalts: main.salts, otherFit: null };
  }
  if (draft.arms !== "different") return { ...main, afterSalts: main.salts, otherFit: null };
  const other = oneTarget(draft, read, "other-");
  const errors = { ...main.errors, ...other.errors };
  return { ...main, afterSalts: other.salts, otherFit: other.fit, errors };
}

type OneTarget = Pick<Targets, "salts" | "fit" | "errors">;

function oneTarget(draft: MatchDraft, read: NumberReader, prefix: "" | "other-"): OneTarget {
  if (draft.target === "salts") return saltTarget(draft, read, prefix);
  const field = draft.target === "ions" ? ionField : hardnessField;
  const ions =
    draft.target === "ions" ? ionTarget(draft, read, prefix) : hardnessTarget(draft, read, prefix);
  const atHand = saltNames.filter((salt) => draft[`have-${salt}`] === "yes");
  const first = `${prefix}${field("magnesium")}`;
  if (Object.values(ions).every((amount) => amount === 0)) {
    return { salts: [], fit: null, errors: emptyErrors(draft, prefix, first) };
  }
  if (atHand.length === 0) {
    const message = "Tick at least one salt that is at hand.";
    return { salts: [], fit: null, errors: { [`have-${saltNames[0]}`]: message } };
  }
  const fit = saltsForIons(ions, atHand);
  const salts = fit.salts
    .filter(({ milligramsPerLitre }) => milligramsPerLitre > 1e-9)
    .map((amount) => ({ ...amount, purity: purityOf(draft, read, amount.salt) }));
  return { salts, fit, errors: missing(ions, fit, (ion) => `${prefix}${field(ion)}`) };
}

function saltTarget(draft: MatchDraft, read: NumberReader, prefix: string): OneTarget {
  const named = saltNames.filter((salt) => (draft[`${prefix}salts-${salt}`] ?? "").trim() !== "");
  const salts = named
    .map((salt) => ({
      salt,
      milligramsPerLitre: read(`${prefix}salts-${salt}`, "the amount"),
      purity: purityOf(draft, read, salt),
    }))
    .filter(({ milligramsPerLitre }) => milligramsPerLitre !== 0);
  const first = `${prefix}salts-${saltNames[0]}`;
  const errors = salts.length > 0 ? {} : emptyErrors(draft, prefix, first);
  return { salts, fit: null, errors };
}

function ionTarget(draft: MatchDraft, read: NumberReader, prefix: string): IonAmounts {
  const named = ionNames.filter((ion) => (draft[`${prefix}ions-${ion}`] ?? "").trim() !== "");
  return Object.fromEntries(named.map((ion) => [ion, from0(read, `${prefix}ions-${ion}`, ion)]));
}

function hardnessTarget(draft: MatchDraft, read: NumberReader, prefix: string): IonAmounts {
  const part = (name: string, what: string) => {
    const field = `${prefix}hardness-${name}`;
    return (draft[field] ?? "").trim() === "" ? 0 : from0(read, field, what);
  };
  const share = part("magnesium", "magnesium's share");
  if (share > 100) {
    read.errors[`${prefix}hardness-magnesium`] = "Give magnesium's share from 0 to 100 %.";
  }
  return ionsForHardness({
    hardness: part("hardness", "the hardness"),
    alkalinity: part("alkalinity", "the alkalinity"),
    magnesiumShare: share / 100,
  });
}

function from0(read: NumberReader, field: string, what: string): number {
  const number = read(field, what);
  if (number >= 0) return number;
  read.errors[field] = `Give ${what} as 0 or more.`;
  return 0;
}

/** A certificate's assay in percent as a fraction; an empty field counts the salt as pure. */
function purityOf(draft: MatchDraft, read: NumberReader, salt: SaltName): number {
  const field = `purity-${salt}`;
  if ((draft[field] ?? "").trim() === "") return 1;
  return read(field, "the assay") / 100;
}

/** The other arm of two different ones may get nothing; one of them must get something. */
function emptyErrors(draft: MatchDraft, prefix: string, field: string): Record<string, string> {
  if (draft.arms === "different" && prefix === "other-") return {};
  return { [field]: "Give at least one amount above 0 for the cup." };
}

/** Ions that no salt at hand brings. */
function missing(
  wanted: IonAmounts,
  { achieved }: SaltRecipe,
  fieldOf: (ion: IonName) => string,
): Record<string, string> {
  const without = ionNames.filter((ion) => (wanted[ion] ?? 0) > 0 && (achieved[ion] ?? 0) <= 0);
  return Object.fromEntries(
    without.map((ion) => [
      fieldOf(ion),
      `No salt that is ticked as at hand brings ${ion}: tick one that does.`,
    ]),
  );
}

const ionField = (ion: IonName) => `ions-${ion}`;

const hardnessField = (ion: IonName) =>
  ion === "bicarbonate"
    ? "hardness-alkalinity"
    : ion === "magnesium"
      ? "hardness-magnesium"
      : "hardness-hardness";
