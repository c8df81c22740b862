import { z } from "zod";
import {
  type KitInput,
  type KitRefusal,
  makeKit,
  type Presentation,
  type SetRequest,
} from "../design/kit.ts";
import { seedFromText, stream } from "../design/random.ts";
import { commit, keyOf } from "../design/seal.ts";
import { servingBalance } from "../design/serving-balance.ts";
import { methodNames } from "../statistics/methods/method.ts";
import { type Calculator, defineCalculator, type Refusal } from "./calculator.ts";
import { count } from "./fields.ts";

const planMethods = [...methodNames, "ab"] as const;

const treatmentField = z.enum(["A", "B"], { error: "Give a treatment as A or B." });

const inputSchema = z
  .strictObject({
    method: z.enum(planMethods, { error: `Give the method as one of ${planMethods.join(", ")}.` }),
    tasters: count("the tasters", 1),
    coffees: z
      .array(
        z
          .string({ error: "Give coffees as labels." })
          .min(1, { error: "Give every coffee a label." }),
      )
      .min(1, { error: "Give at least one coffee." }),
    pairs: count("the brew pairs of each coffee", 1).default(1),
    replicates: count("the replicates", 1).default(1),
    controls: count("the hidden control pairs of each taster").default(0),
    oddTreatment: treatmentField.optional(),
    seed: z.string({ error: "Give the seed as text; the same text draws the same plan." }),
  })
  .refine((input) => input.oddTreatment === undefined || input.method === "three-afc", {
    error: "An odd treatment suits three-afc only: the other methods use both in turn.",
    path: ["oddTreatment"],
  });

type Input = z.output<typeof inputSchema>;

const counts = z.record(z.string(), z.int());

const servingField = z.object({
  taster: z.int(),
  ordinal: z.int(),
  coffee: z.string(),
  pair: z.int(),
  replicate: z.int(),
  control: z.enum(["same-pot", "same-treatment"]).optional(),
  order: z.string(),
  oddPosition: z.int().optional(),
  fellowPosition: z.int().optional(),
  cups: z.array(
    z.object({
      position: z.int(),
      code: z.string(),
      pot: z.string(),
      treatment: treatmentField,
      reference: z.literal(true).optional(),
    }),
  ),
});

const balanceFields = { firstTreatment: counts, oddPosition: counts.nullable() };

const balanceField = z.object({
  sequences: z.record(z.string(), counts),
  ...balanceFields,
  byCoffee: z.record(z.string(), z.object({ sequences: counts, ...balanceFields })),
});

const outputSchema = z.object({
  presentations: z.array(servingField),
  balance: balanceField,
  commitment: z.string(),
});

type Plan = z.output<typeof outputSchema>;

const servingPlan = defineCalculator({
  name: "serving-plan",
  summary:
    "Who is served what, in which order and under which codes: a balanced plan for practice.",
  input: inputSchema,
  output: outputSchema,
  compute: plan,
});

/** Calculators for experiment design. A live session's seed never goes through them. */
export const designCalculators: Calculator[] = [servingPlan];

function plan(input: Input): Plan | Refusal {
  const seed = seedFromText(input.seed);
  const drawn = makeKit(kitInput(input), (name) => stream(seed, name));
  if (!drawn.ok) return { refused: [{ path: [fieldOf(drawn.refusal)], message: drawn.message }] };
  const { seats } = drawn.kit;
  const all = seats.flatMap(({ presentations }) => presentations);
  const byCoffee = input.coffees.map(
    (coffee) => [coffee, servingBalance(all.filter((own) => own.coffeeId === coffee))] as const,
  );
  return {
    presentations: seats.flatMap(({ seat, presentations }) =>
      presentations.map((presentation) => planned(seat, presentation)),
    ),
    balance: {
      ...servingBalance(all),
      sequences: Object.fromEntries(byCoffee.map(([coffee, { sequences }]) => [coffee, sequences])),
      byCoffee: Object.fromEntries(byCoffee),
    },
    commitment: commit(keyOf(drawn.kit), stream(seed, "nonce").bytes(32)),
  };
}

function kitInput(input: Input): KitInput {
  return {
    sets: [setOf(input)],
    coffees: input.coffees,
    pairsPerCoffee: input.pairs,
    replicates: input.replicates,
    controls: { samePot: input.controls, sameTreatmentPairsPerCoffee: 0 },
    seats: input.tasters,
    brewers: ["brewer"],
    coffeeOrder: "balanced",
    sparesPerPot: 0,
  };
}

function setOf({ method, oddTreatment = "B" }: Input): SetRequest {
  switch (method) {
    case "paired-comparison":
    case "ab":
      return { kind: "ab" };
    case "duo-trio":
      return { kind: "duo-trio", reference: "balanced" };
    case "three-afc":
      return { kind: "three-afc", oddTreatment };
    case "triangle":
    case "tetrad":
      return { kind: method };
  }
}

/** The input field that a refusal is about. */
function fieldOf(refusal: KitRefusal): string {
  if (refusal === "too-many-pots") return "pairs";
  return refusal === "repeated-name" || refusal === "too-many-coffees" ? "coffees" : "tasters";
}

function planned(taster: number, presentation: Presentation): z.output<typeof servingField> {
  const { setKind: _, coffeeId, arms: __, cups, ...rest } = presentation;
  return {
    taster,
    coffee: coffeeId,
    ...rest,
    cups: cups.map(({ potLetter, ...cup }) => ({ ...cup, pot: potLetter })),
  };
}
