import { countedPanel } from "./panel-counts.ts";
import { scoredPanel, yieldPanel } from "./panel-spreads.ts";
import type { PanelDesign, PanelQuestion, PanelTest } from "./panel-test.ts";

/** The test that answers a question, on this panel. */
export function panelTest(design: PanelDesign): PanelTest {
  const { question } = design;
  switch (question.kind) {
    case "apart":
    case "same":
      return countedPanel({ method: "triangle", sides: "one", matters: question.noticing }, design);
    case "more":
    case "liked":
      return countedPanel(
        { method: "paired-comparison", sides: sidesOf(question), matters: lean(question.pickRate) },
        design,
      );
    case "scores":
      return scoredPanel(question, design);
    case "yield":
      return yieldPanel(question, design);
  }
}

/** A preference is always tested both ways, a direction unless it was named beforehand. */
export function sidesOf(question: PanelQuestion): "one" | "two" {
  return question.kind === "more" ? question.sides : "two";
}

/** Those who don't notice pick either cup alike: a pick rate of 65 % is 30 % who do. */
function lean(pickRate: number): number {
  return 2 * pickRate - 1;
}

/** Answered by the odd cup of three. */
export const isTriangle = ({ kind }: PanelQuestion) => kind === "apart" || kind === "same";
