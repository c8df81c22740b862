import type { MethodName } from "../../statistics/methods/method.ts";

/** What people did who answered rightly, by method; the plural fits one person too. */
export const rightAnswers: Readonly<Record<MethodName, string>> = {
  triangle: "picked the odd cup",
  "duo-trio": "matched the reference",
  tetrad: "made the right groups",
  "three-afc": "picked the single cup",
  "paired-comparison": "picked the cup that was expected",
};
