import { metaRegression } from "../../statistics/meta-regression.ts";
import type { PooledEffect, Study } from "../../statistics/synthesis.ts";
import { type IonAmounts, type IonName, ionNames, ionTable } from "../../water/ions.ts";
import { aliasedColumns } from "./aliased-columns.ts";

/** A session's effect with how much more of each ion B's cup holds than A's, in mg/L. */
export interface IonStudy extends Study {
  ionDifference: IonAmounts;
}

export interface IonEffect {
  ion: IonName;
  /** Change of the effect per 10 mg/L more, on the scale that effects are added up on. */
  perTenMilligrams: PooledEffect;
}

export type IonEffects =
  | {
      ok: true;
      studies: number;
      effects: IonEffect[];
      /** The ion that makes up the charge of the others; null where recipes named none. */
      partner: IonName | null;
      /** Ions that these recipes don't tell apart, of which nothing is said. */
      aliased: IonName[];
    }
  | { ok: false; refusal: "aliased"; aliased: IonName[] }
  | { ok: false; refusal: "no-ions" | "too-few-studies"; studies: number; needed: number };

const STEP_MILLIGRAMS = 10;

/**
 * What each ion does, from sessions whose recipes differ in ions: random-effects meta-regression
 * without intercept (the same water has no effect), linear in mg/L. Sessions without a difference in
 * ions say nothing about them and are left aside.
 *
 * Water is neutral, so no ion comes alone, and no set of recipes can part every ion from all others. Where
 * several salts were varied, chloride, or else sulfate, is taken as the partner that makes up the
 * charge, and an effect is that of the ion with its partner. Refused, naming the ions: a single salt,
 * and any ions that changed in step beyond that. The linear scale is ours: no more is claimed
 * than what one straight line says within the amounts tried.
 */
export function ionEffects(all: readonly IonStudy[]): IonEffects {
  const studies = all.filter(({ ionDifference }) => ionsIn(ionDifference).length > 0);
  const ions = ionNames.filter((ion) => studies.some((study) => amount(study, ion) !== 0));
  if (ions.length === 0) return { ok: false, refusal: "no-ions", studies: 0, needed: 2 };
  const partner = partnerAmong(ions);
  const asked = ions.filter((ion) => ion !== partner);
  if (partner !== null && asked.length === 1) {
    return { ok: false, refusal: "aliased", aliased: ions };
  }
  const { aliased, separable, basis } = separate(studies, asked);
  if (separable.length === 0) return { ok: false, refusal: "aliased", aliased };
  if (studies.length <= basis.length) {
    return {
      ok: false,
      refusal: "too-few-studies",
      studies: studies.length,
      needed: basis.length + 1,
    };
  }
  return {
    ok: true,
    studies: studies.length,
    partner,
    aliased,
    effects: slopes(studies, basis, separable),
  };
}

/** Only an anion whose charge others can balance is a partner: there must be a cation beside it. */
function partnerAmong(ions: readonly IonName[]): IonName | null {
  const cations = ions.some((ion) => ionTable[ion].charge > 0);
  return (["chloride", "sulfate"] as const).find((ion) => cations && ions.includes(ion)) ?? null;
}

/** Ions that can be told from the rest, the others, and enough of all to span what was varied. */
function separate(studies: readonly IonStudy[], ions: readonly IonName[]) {
  const columns = ions.map((ion) => studies.map((study) => amount(study, ion)));
  const { aliased, spanning } = aliasedColumns(columns);
  return {
    aliased: ions.filter((_, i) => aliased.includes(i)),
    separable: ions.filter((_, i) => !aliased.includes(i)),
    basis: ions.filter((_, i) => spanning.includes(i)),
  };
}

function slopes(
  studies: readonly IonStudy[],
  basis: readonly IonName[],
  separable: readonly IonName[],
): IonEffect[] {
  const found = metaRegression(
    studies.map((study) => ({
      effect: study.effect,
      variance: study.variance,
      explanatory: basis.map((ion) => amount(study, ion) / STEP_MILLIGRAMS),
    })),
  );
  if (!found.ok) throw new Error("Ions that were found separable are not");
  return separable.flatMap((ion) => {
    const perTenMilligrams = found.coefficients[basis.indexOf(ion)];
    return perTenMilligrams ? [{ ion, perTenMilligrams }] : [];
  });
}

function ionsIn(difference: IonAmounts): IonName[] {
  return ionNames.filter((ion) => (difference[ion] ?? 0) !== 0);
}

const amount = ({ ionDifference }: IonStudy, ion: IonName) => ionDifference[ion] ?? 0;

/** How much more of each ion one cup holds than another, mg/L. */
export function ionDifference(more: IonAmounts, less: IonAmounts): IonAmounts {
  return Object.fromEntries(
    ionNames
      .map((ion) => [ion, (more[ion] ?? 0) - (less[ion] ?? 0)] as const)
      .filter(([, difference]) => difference !== 0),
  );
}
