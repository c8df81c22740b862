import { canonicalJson } from "../../design/seal.ts";

/** How findings computed now compare with those that a package holds. */
export interface FindingsComparison {
  /** Places that hold another value, with both values. */
  differ: string[];
  /** Places where a number is the same but for its last digits, with both. */
  rounded: string[];
  /** Fields that the package's findings lack, such as `endpoints.0.method`. */
  lacking: string[];
}

/**
 * Compares findings computed now with stored ones, both as JSON holds them. A field that is not
 * stored is no difference, since an earlier version may not have computed it, unless its object
 * shares no field at all. A field that is only stored is one, and so is a list of another length.
 */
export function compareFindings(computed: unknown, stored: unknown, path = ""): FindingsComparison {
  if (canonicalJson(computed ?? null) === canonicalJson(stored ?? null)) return NOTHING;
  if (!isObject(computed) || !isObject(stored) || !haveCommonField(computed, stored)) {
    const values = `${path || "all of it"}: ${JSON.stringify(computed)}, not ${JSON.stringify(stored)}`;
    return sameButRounding(computed, stored)
      ? { ...NOTHING, rounded: [values] }
      : { ...NOTHING, differ: [values] };
  }
  const names = [...new Set([...Object.keys(computed), ...Object.keys(stored)])];
  const parts = names.map((name): FindingsComparison => {
    const place = path === "" ? name : `${path}.${name}`;
    const lacks = !Array.isArray(computed) && !Object.hasOwn(stored, name);
    return lacks
      ? { ...NOTHING, lacking: [place] }
      : compareFindings(computed[name], stored[name], place);
  });
  return {
    differ: parts.flatMap(({ differ }) => differ),
    rounded: parts.flatMap(({ rounded }) => rounded),
    lacking: parts.flatMap(({ lacking }) => lacking),
  };
}

const NOTHING: FindingsComparison = { differ: [], rounded: [], lacking: [] };

/**
 * Exponentials and logarithms are not rounded alike by every version of the JavaScript engine (ECMA-262
 * leaves their last digits open), and a chain of them carries a few units of the last place along.
 */
const ROUNDING = 1e-12;

function sameButRounding(computed: unknown, stored: unknown): boolean {
  if (typeof computed !== "number" || typeof stored !== "number") return false;
  const larger = Math.max(Math.abs(computed), Math.abs(stored));
  return Math.abs(computed - stored) <= ROUNDING * larger;
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null;
}

function haveCommonField(one: object, other: object): boolean {
  return Object.keys(one).some((name) => Object.hasOwn(other, name));
}
