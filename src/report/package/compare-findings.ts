import { canonicalJson } from "../../design/seal.ts";

/** How findings computed now compare with those that a package holds. */
export interface FindingsComparison {
  /** Places that hold another value, with both values. */
  differ: string[];
  /** Fields that the package's findings lack, such as `endpoints.0.method`. */
  lacking: string[];
}

/**
 * Compares findings computed now with stored ones, both as JSON holds them. A field that is not
 * stored is no difference, since an earlier version may not have computed it, unless its object
 * shares no field at all. A field that is only stored is one, and so is a list of another length.
 */
export function compareFindings(computed: unknown, stored: unknown, path = ""): FindingsComparison {
  if (canonicalJson(computed ?? null) === canonicalJson(stored ?? null)) {
    return { differ: [], lacking: [] };
  }
  if (!isObject(computed) || !isObject(stored) || !haveCommonField(computed, stored)) {
    const values = `${JSON.stringify(computed)}, not ${JSON.stringify(stored)}`;
    return { differ: [`${path || "all of it"}: ${values}`], lacking: [] };
  }
  const names = [...new Set([...Object.keys(computed), ...Object.keys(stored)])];
  const parts = names.map((name): FindingsComparison => {
    const place = path === "" ? name : `${path}.${name}`;
    const lacks = !Array.isArray(computed) && !Object.hasOwn(stored, name);
    return lacks
      ? { differ: [], lacking: [place] }
      : compareFindings(computed[name], stored[name], place);
  });
  return {
    differ: parts.flatMap(({ differ }) => differ),
    lacking: parts.flatMap(({ lacking }) => lacking),
  };
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null;
}

function haveCommonField(one: object, other: object): boolean {
  return Object.keys(one).some((name) => Object.hasOwn(other, name));
}
