import { z } from "zod";
import type { PanelDesign } from "../../src/report/planning/panel-test.ts";
import { errorsByField, type FieldErrors, numberFrom, type RawForm } from "../form.ts";
import type { Draft } from "../store/experiments.ts";

/** What the form holds before anyone typed: common practice, no source. */
const usual: Draft = {
  question: "apart",
  attribute: "",
  noticing: "30",
  pickRate: "70",
  sides: "two",
  points: "8",
  spread: "15",
  yieldPoints: "0.5",
  yieldSpread: "0.4",
  alpha: "0.05",
  power: "0.8",
  tasters: "12",
  coffees: "3",
  brewPairsPerCoffee: "2",
  replicates: "1",
  controlPairsPerCoffee: "0",
};

/** Every field as typed; what the address doesn't name is as usual. */
export function panelForm(query: RawForm): Draft {
  const typed = Object.keys(usual).flatMap((name) => {
    const value = query[name];
    return typeof value === "string" ? [[name, value] as const] : [];
  });
  return { ...usual, ...Object.fromEntries(typed) };
}

export type PanelReading = { ok: true; design: PanelDesign } | { ok: false; errors: FieldErrors };

/** Reads the panel's numbers: what is to be planned, or what is wrong by field. */
export function readPanel(form: Draft): PanelReading {
  const numbers = Object.entries(form).map(([name, text]) => [name, numberFrom(text) ?? undefined]);
  const typed = { ...Object.fromEntries(numbers), question: form.question, sides: form.sides };
  const parsed = panelSchema.safeParse(typed);
  return parsed.success
    ? { ok: true, design: designOf(parsed.data) }
    : { ok: false, errors: errorsByField(parsed.error) };
}

const whole = (least: number, most: number) =>
  z
    .number("Give a whole number")
    .int("Give a whole number")
    .min(least, `At least ${least}`)
    .max(most, `At most ${most}`);
const within = (least: number, most: number, ask: string) =>
  z.number(ask).min(least, ask).max(most, ask);

const panel = {
  alpha: within(0.0001, 0.2, "Give a share from 0.0001 to 0.2: 0.05 is 5 %"),
  power: within(0.5, 0.99, "Give a share from 0.5 to 0.99: 0.8 is four times in five"),
  tasters: whole(1, 300),
  coffees: whole(1, 12),
  brewPairsPerCoffee: whole(1, 10),
  replicates: whole(1, 8),
  controlPairsPerCoffee: whole(0, 6),
};
const noticing = within(1, 99, "Give 1 to 99 people in a hundred: 30 is 30 %");
const pickRate = within(51, 99, "Give 51 to 99 picks in a hundred: at 50 nobody notices");
const spreads = {
  points: within(0.5, 100, "Give 0.5 to 100 points of the scale"),
  spread: within(0.5, 100, "Give 0.5 to 100 points of the scale"),
};
const yields = {
  yieldPoints: within(0.01, 10, "Give 0.01 to 10 percentage points of yield"),
  yieldSpread: within(0.01, 10, "Give 0.01 to 10 percentage points of yield"),
};

const panelSchema = z.discriminatedUnion(
  "question",
  [
    z.object({ question: z.enum(["apart", "same"]), noticing, ...panel }),
    z.object({
      question: z.literal("more"),
      pickRate,
      sides: z.enum(["one", "two"], "Choose one of these"),
      ...panel,
    }),
    z.object({ question: z.literal("liked"), pickRate, ...panel }),
    z.object({ question: z.literal("scores"), ...spreads, ...panel }),
    z.object({ question: z.literal("yield"), ...yields, ...panel }),
  ],
  "Choose one of the questions below",
);

function designOf(typed: z.infer<typeof panelSchema>): PanelDesign {
  return { ...typed, question: questionOf(typed) };
}

function questionOf(typed: z.infer<typeof panelSchema>): PanelDesign["question"] {
  switch (typed.question) {
    case "apart":
    case "same":
      return { kind: typed.question, noticing: typed.noticing / 100 };
    case "more":
      return { kind: "more", pickRate: typed.pickRate / 100, sides: typed.sides };
    case "liked":
      return { kind: "liked", pickRate: typed.pickRate / 100 };
    case "scores":
      return { kind: "scores", points: typed.points, sd: typed.spread };
    case "yield":
      return { kind: "yield", points: typed.yieldPoints, sd: typed.yieldSpread };
  }
}
