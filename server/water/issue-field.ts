import type { MatchPlan } from "../../src/water/match-plan.ts";
import { saltNames } from "../../src/water/salts.ts";
import type { MatchDraft } from "./match-draft.ts";

/** The field that an issue of the match calculation belongs to, from the path that it names. */
export function fieldOfPath(
  path: readonly (string | number)[],
  plan: MatchPlan,
  draft: MatchDraft,
): string {
  const [root = "", second = ""] = path;
  if (root === "salts" || root === "afterSalts") return targetField(path, plan, draft);
  if (root === "baseIons") return `base-${second}`;
  if (root === "transfer") return `transfer-${second || "calcium"}`;
  if (root === "brews") return second === "after" ? "brewsAfter" : "brewsBefore";
  if (root === "kettleLossFraction") return "kettleLossPercent";
  if (root !== "instruments") return String(root);
  if (second === "transfer") return `spread-${path[2] ?? "calcium"}`;
  return instrumentFields[second] ?? "saltScaleTolerance";
}

const instrumentFields: Readonly<Record<string, string>> = {
  scaleGrams: "saltScaleTolerance",
  scaleResolutionGrams: "saltScaleStep",
  pipetteMillilitres: "pipetteTolerance",
  yieldGrams: "scaleTolerance",
  batchGrams: "scaleTolerance",
  stockMillilitres: "stockTolerance",
  kettleLossFraction: "kettleLossSpread",
};

function targetField(
  [root, index, part]: readonly (string | number)[],
  plan: MatchPlan,
  draft: MatchDraft,
): string {
  const list = root === "salts" ? plan.salts : plan.afterSalts;
  const salt = list[Number(index)]?.salt ?? saltNames[0];
  if (part === "purity") return `purity-${salt}`;
  const prefix = root === "afterSalts" && draft.arms === "different" ? "other-" : "";
  if (draft.target === "salts") return `${prefix}salts-${salt}`;
  return draft.target === "ions" ? `${prefix}ions-magnesium` : `${prefix}hardness-hardness`;
}
