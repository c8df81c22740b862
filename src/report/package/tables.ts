import { setKinds } from "../../design/serving-orders.ts";
import { refractometerZeroSchema } from "../../experiment/brew-log.ts";

/** A column of a table of the data package, as a Table Schema field (Data Package 2.0). */
export interface PackageField {
  name: string;
  title: string;
  description: string;
  type: "string" | "integer" | "number" | "boolean" | "datetime";
  /** Unit of a measured column; a property of our own, which the standard allows. */
  unit?: string;
  constraints?: {
    required?: boolean;
    enum?: readonly string[];
    minimum?: number;
    maximum?: number;
    pattern?: string;
  };
}

/** A CSV file of the data package; every row of it is one thing. */
export interface PackageTable {
  name: string;
  title: string;
  description: string;
  fields: readonly PackageField[];
  primaryKey: readonly string[];
  foreignKeys: readonly { fields: readonly string[]; table: string }[];
}

const required = { required: true };
const seat: PackageField = {
  name: "seat",
  title: "Seat",
  description: "Random id of the taster's seat; it says nothing of who sat there.",
  type: "string",
  constraints: required,
};
const presentation: PackageField = {
  name: "presentation",
  title: "Presentation",
  description: "Place of the set among those of this seat, from 1 in serving order.",
  type: "integer",
  constraints: { required: true, minimum: 1 },
};
const coffee: PackageField = {
  name: "coffee",
  title: "Coffee",
  description: "Id of the coffee within the plan (coffees in plan.json hold its name).",
  type: "string",
  constraints: { required: true, pattern: "c[1-9][0-9]?" },
};
const pair: PackageField = {
  name: "pair",
  title: "Brew pair",
  description: "Number of the brew pair within the coffee; test pairs first, then control pairs.",
  type: "integer",
  constraints: { required: true, minimum: 1 },
};
const pot: PackageField = {
  name: "pot",
  title: "Pot",
  description: "Coffee id and blind pot letter, such as c1-K.",
  type: "string",
  constraints: { required: true, pattern: "c[1-9][0-9]?-[A-Z]" },
};
const treatment: PackageField = {
  name: "treatment",
  title: "Treatment",
  description: "What the pot held, by the opened key; plan.json names A and B.",
  type: "string",
  constraints: { required: true, enum: ["A", "B"] },
};
const position: PackageField = {
  name: "position",
  title: "Serving position",
  description: "Place of the cup in the set, from 1 on the left.",
  type: "integer",
  constraints: { required: true, minimum: 1 },
};
const code: PackageField = {
  name: "code",
  title: "Cup code",
  description: "The three digits on the cup.",
  type: "string",
  constraints: { required: true, pattern: "[1-9][0-9]{2}" },
};

const text = (name: string, title: string, description: string): PackageField => ({
  name,
  title,
  description,
  type: "string",
});
const measure = (name: string, title: string, unit: string, description: string): PackageField => ({
  name,
  title,
  description,
  type: "number",
  unit,
  constraints: { minimum: 0 },
});

/** Every table of the data package by name: the schema, the dictionary and the reader rest on it. */
export const packageTables = {
  pots: {
    name: "pots",
    title: "Pots",
    description:
      "One row a pot: what it held and how it was brewed. Empty where no brew was logged.",
    fields: [
      pot,
      coffee,
      pair,
      treatment,
      {
        name: "control_pair",
        title: "Control pair",
        description:
          "Whether both pots of the pair held one treatment, to see how much pots differ.",
        type: "boolean",
        constraints: required,
      },
      text("planned_brewer", "Planned brewer", "The brewer that the plan gave the pot to."),
      text("brewer", "Brewer", "The brewer that the log names."),
      text("water_label", "Water label", "Blind label of the water that was used."),
      measure("dose_g", "Dose", "g", "Ground coffee."),
      measure("brew_water_g", "Brew water", "g", "Water poured."),
      measure("beverage_g", "Beverage", "g", "Beverage in the pot."),
      measure("brew_s", "Brew time", "s", "From the first water to the end of the flow."),
      {
        name: "sample",
        title: "Sample",
        description: "When the strength sample was taken: before or after something was added.",
        type: "string",
        constraints: { enum: ["before-addition", "after-addition", "no-addition"] },
      },
      measure("added_g", "Added", "g", "What was added to the beverage after brewing."),
      {
        name: "zero",
        title: "Zeroed on",
        description: "What the refractometer was zeroed on; empty when the log doesn't say.",
        type: "string",
        constraints: { enum: refractometerZeroSchema.options },
      },
      measure("held_min", "Held", "min", "From the end of brewing to pouring."),
      measure("served_c", "Served at", "°C", "Temperature in the cup."),
      text("rejected", "Rejected", "Why the brew pair does not count; empty when it does."),
    ],
    primaryKey: ["pot"],
    foreignKeys: [],
  },
  readings: {
    name: "readings",
    title: "Strength readings",
    description: "One row a refractometer reading.",
    fields: [
      pot,
      {
        name: "reading",
        title: "Reading",
        description: "Number of the reading of this pot, from 1.",
        type: "integer",
        constraints: { required: true, minimum: 1 },
      },
      {
        ...measure("tds_percent", "Strength", "% TDS", "As read, minerals included."),
        constraints: { required: true, minimum: 0 },
      },
    ],
    primaryKey: ["pot", "reading"],
    foreignKeys: [{ fields: ["pot"], table: "pots" }],
  },
  ballots: {
    name: "ballots",
    title: "Ballots",
    description: "One row an answered set of cups.",
    fields: [
      seat,
      presentation,
      coffee,
      pair,
      {
        name: "repeat",
        title: "Repeat",
        description: "Which time the taster met this brew pair, from 1.",
        type: "integer",
        constraints: { required: true, minimum: 1 },
      },
      {
        name: "control",
        title: "Control",
        description: "Why the set held no difference; empty when it compared the treatments.",
        type: "string",
        constraints: { enum: ["same-pot", "same-treatment"] },
      },
      {
        name: "set",
        title: "Kind of set",
        description:
          "How cups were served together: `triangle` (three, one odd), `duo-trio` (an open reference, then two), `tetrad` (two of each), `three-afc` (three, a single one of the treatment expected to have more), `ab` (two).",
        type: "string",
        constraints: { required: true, enum: [...setKinds] },
      },
      {
        name: "odd_position",
        title: "Position of the odd cup",
        description:
          "The cup unlike the others, in a duo-trio unlike the reference; in a same-pot control the cup so designated.",
        type: "integer",
        constraints: { minimum: 1, maximum: 3 },
      },
      {
        name: "fellow_position",
        title: "Position of the first cup's fellow",
        description:
          "The right answer of a tetrad, whose groups are told by the cup that goes with the first one.",
        type: "integer",
        constraints: { minimum: 2, maximum: 4 },
      },
      {
        name: "received_at",
        title: "Received",
        description: "When the server stored the ballot, in UTC.",
        type: "datetime",
        constraints: required,
      },
      {
        ...measure(
          "seconds_on_screen",
          "Time on screen",
          "s",
          "How long the phone showed the set.",
        ),
        type: "integer",
      },
      {
        ...measure(
          "seconds_rested",
          "Rest before it",
          "s",
          "From locking the set before to the first touch of this one, as the phone counted it; empty where it did not or can't have, and for a first set.",
        ),
        type: "integer",
      },
      {
        name: "answered_at",
        title: "Answered",
        description:
          "When the taster locked the set, in UTC: received_at less the time that the phone says it waited. Empty where that is not known, as for ballots typed in at the desk, or can't be, before the seat was taken.",
        type: "datetime",
      },
      {
        ...measure(
          "minutes_since_pour",
          "Since pouring",
          "min",
          "From the latest pouring of its cups to answered_at, to hundredths; empty where either is not known.",
        ),
      },
      text("void_reason", "Voided", "Why the ballot does not count; empty when it does."),
      {
        name: "mix_up",
        title: "Mix-up",
        description:
          "What was recorded before unblinding for a set of which two cups stood on each other's codes (mixed_with in cups.csv names them); empty for every other set.",
        type: "string",
        constraints: { enum: ["corrected", "voided"] },
      },
      {
        name: "served_again_for",
        title: "Served again for",
        description: "The voided presentation of this seat that the set stands for.",
        type: "integer",
        constraints: { minimum: 1 },
      },
    ],
    primaryKey: ["seat", "presentation"],
    foreignKeys: [],
  },
  pourings: {
    name: "pourings",
    title: "Pourings",
    description: "One row a time that the cups of a brew pair were poured, where it was recorded.",
    fields: [
      coffee,
      pair,
      {
        name: "pouring",
        title: "Pouring",
        description: "Which time this pair was poured, from 1.",
        type: "integer",
        constraints: { required: true, minimum: 1 },
      },
      {
        name: "poured_at",
        title: "Poured",
        description: "When it was poured, in UTC, with every correction made.",
        type: "datetime",
        constraints: required,
      },
    ],
    primaryKey: ["coffee", "pair", "pouring"],
    foreignKeys: [],
  },
  cups: {
    name: "cups",
    title: "Cups",
    description: "One row a served cup, with what it held.",
    fields: [
      seat,
      presentation,
      position,
      code,
      pot,
      treatment,
      {
        name: "mixed_with",
        title: "Mixed up with",
        description:
          "Code that this cup stood on by mistake. Pot and treatment are those of the sealed key: of two cups mixed up each held what the other's row says.",
        type: "string",
        constraints: { pattern: "[1-9][0-9]{2}" },
      },
    ],
    primaryKey: ["seat", "presentation", "position"],
    foreignKeys: [
      { fields: ["seat", "presentation"], table: "ballots" },
      { fields: ["pot"], table: "pots" },
    ],
  },
  answers: {
    name: "answers",
    title: "Answers",
    description: "One row a cup and question.",
    fields: [
      seat,
      presentation,
      {
        name: "endpoint",
        title: "Question",
        description: "Id of the question (endpoints in plan.json).",
        type: "string",
        constraints: { required: true, pattern: "e[1-9][0-9]?" },
      },
      position,
      code,
      {
        name: "chosen",
        title: "Chosen",
        description: "Whether this cup was picked; empty for scores and for “can't tell”.",
        type: "boolean",
      },
      {
        name: "cannot_tell",
        title: "Can't tell",
        description: "Whether the taster could not tell; then no cup was picked.",
        type: "boolean",
        constraints: required,
      },
      {
        name: "score",
        title: "Score",
        description: "Whole points of the line scale; empty for picks.",
        type: "integer",
        unit: "points",
        constraints: { minimum: 0, maximum: 100 },
      },
    ],
    primaryKey: ["seat", "presentation", "endpoint", "position"],
    foreignKeys: [{ fields: ["seat", "presentation", "position"], table: "cups" }],
  },
} as const satisfies Record<string, PackageTable>;

export type TableName = keyof typeof packageTables;
export const tableNames: readonly TableName[] = [
  "pots",
  "readings",
  "pourings",
  "ballots",
  "cups",
  "answers",
];

/** Columns that packages of earlier versions lack; there they read as empty. */
export const columnsAddedLater: Partial<Record<TableName, readonly string[]>> = {
  pots: ["zero", "held_min", "served_c"],
  ballots: ["fellow_position", "seconds_rested", "answered_at", "minutes_since_pour", "mix_up"],
  cups: ["mixed_with"],
};

/** Tables that packages of earlier versions lack; there they read as empty. */
export const tablesAddedLater: readonly TableName[] = ["pourings"];

/** Other files of the data package, with what they hold. */
export const packageDocuments = {
  plan: "The sealed plan: question, treatments, coffees, endpoints with margins, alpha, recipe.",
  session: "The session: name, date, seals, seats, and how blind it was.",
  events: "The append-only log of the session, each entry with the hash of the one before.",
  findings: "What the analysis found, as `evenpour analyse` computes it again.",
} as const;
export type DocumentName = keyof typeof packageDocuments;
