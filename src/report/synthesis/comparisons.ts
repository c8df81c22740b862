import type { Treatment } from "../../experiment/endpoint.ts";
import { plainName } from "../../experiment/typed-name.ts";

/** An experiment by its two treatments. */
export interface Compared {
  treatments: Readonly<Record<Treatment, { name: string }>>;
}

/** Experiments that speak of one thing: the same two treatments, or one treatment that they share. */
export interface Comparison<T extends Compared> {
  kind: "same-treatments" | "shared-treatment";
  /** Effects are `towards` less `against`; null where what it was compared with differs. */
  towards: string;
  against: string | null;
  members: { of: T; swapped: boolean }[];
}

/**
 * What combines: experiments over the same two treatments, by name and whichever was called B; and
 * for each treatment met with more than one other, all experiments that it was part of.
 */
export function comparisonsAmong<T extends Compared>(experiments: readonly T[]): Comparison<T>[] {
  const same = new Map<string, Comparison<T>>();
  for (const of of experiments) {
    const { A, B } = of.treatments;
    const names = [plainName(A.name), plainName(B.name)];
    const key = names.toSorted().join("\n");
    const known = same.get(key);
    if (known) {
      known.members.push({ of, swapped: plainName(known.towards) !== plainName(B.name) });
    } else {
      same.set(key, {
        kind: "same-treatments",
        towards: B.name,
        against: A.name,
        members: [{ of, swapped: false }],
      });
    }
  }
  return [...same.values(), ...sharedTreatments([...same.values()])];
}

function sharedTreatments<T extends Compared>(same: readonly Comparison<T>[]): Comparison<T>[] {
  const names = new Map(
    same
      .flatMap(({ towards, against }) => [towards, against ?? ""])
      .map((name) => [plainName(name), name]),
  );
  return [...names].flatMap(([plain, name]) => {
    const withIt = same.filter(({ towards, against }) =>
      [towards, against ?? ""].map(plainName).includes(plain),
    );
    if (withIt.length < 2) return [];
    const members = withIt.flatMap((comparison) =>
      comparison.members.map(({ of }) => ({
        of,
        swapped: plainName(of.treatments.B.name) !== plain,
      })),
    );
    return [{ kind: "shared-treatment" as const, towards: name, against: null, members }];
  });
}
