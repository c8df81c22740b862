import type { PackageField, PackageTable } from "./tables.ts";
import { type DocumentName, packageDocuments, packageTables, tableNames } from "./tables.ts";

/** What the descriptor says of the package as a whole. */
export interface PackageFacts {
  title: string;
  question: string;
  /** ISO instant at which the key was opened. */
  created: string;
  softwareVersion: string;
  /** The answers come from an outside panel. */
  imported: boolean;
}

/** A file's size in bytes and SHA-256 in hexadecimal. */
export interface FileSeal {
  bytes: number;
  sha256: string;
}

const csvDialect = {
  delimiter: ",",
  lineTerminator: "\r\n",
  quoteChar: '"',
  doubleQuote: true,
  header: true,
};

/** Contents of datapackage.json: Data Package 2.0 with a Table Schema for each CSV file. */
export function packageDescriptor(facts: PackageFacts, sealOf: (path: string) => FileSeal) {
  return {
    $schema: "https://datapackage.org/profiles/2.0/datapackage.json",
    name: "tasting-session",
    title: facts.title,
    description: facts.question,
    created: facts.created,
    version: "1",
    softwareVersion: facts.softwareVersion,
    resources: [
      ...tableNames.map((name) => tableResource(packageTables[name], sealOf)),
      ...documentNames.map((name) => documentResource(name, sealOf)),
    ],
  };
}

const documentNames: readonly DocumentName[] = ["plan", "session", "events", "findings"];

function sealed(path: string, sealOf: (path: string) => FileSeal) {
  const { bytes, sha256 } = sealOf(path);
  return { path, bytes, hash: `sha256:${sha256}` };
}

function tableResource(table: PackageTable, sealOf: (path: string) => FileSeal) {
  const { name, title, description, fields, primaryKey, foreignKeys } = table;
  return {
    name,
    type: "table",
    ...sealed(`${name}.csv`, sealOf),
    title,
    description,
    format: "csv",
    mediatype: "text/csv",
    encoding: "utf-8",
    dialect: csvDialect,
    schema: {
      fields: fields.map(fieldDescriptor),
      missingValues: [""],
      primaryKey,
      foreignKeys: foreignKeys.map(({ fields: own, table: resource }) => ({
        fields: own,
        reference: { resource, fields: own },
      })),
    },
  };
}

function fieldDescriptor(field: PackageField) {
  return field.type === "boolean"
    ? { ...field, trueValues: ["TRUE"], falseValues: ["FALSE"] }
    : { ...field };
}

function documentResource(name: DocumentName, sealOf: (path: string) => FileSeal) {
  return {
    name,
    ...sealed(`${name}.json`, sealOf),
    description: packageDocuments[name],
    format: "json",
    mediatype: "application/json",
    encoding: "utf-8",
  };
}

/** README.md of the package: what it holds, how to read it, and the data dictionary. */
export function packageReadme(facts: PackageFacts): string {
  return [
    `# ${facts.title}`,
    facts.question,
    "An open data package (Data Package 2.0): datapackage.json describes every file and column. CSV is UTF-8 with a heading; an empty cell is a missing value. A cell that a spreadsheet could take for a formula starts with an apostrophe. Seats are random ids; names and comments are no part of it.",
    ...(facts.imported ? [notBlindedHere] : []),
    'In R: `answers <- merge(read.csv("answers.csv"), read.csv("cups.csv"))`. In Python: `csv.DictReader(open("answers.csv", encoding="utf-8"))`. `evenpour analyse FOLDER` computes findings.json again from the tables, plan.json and session.json.',
    ...tableNames.map((name) => dictionary(packageTables[name])),
    ["## Other files", "", ...documentNames.map(documentLine)].join("\n"),
    `Made by Evenpour ${facts.softwareVersion}.`,
    "",
  ].join("\n\n");
}

const notBlindedHere =
  "Not blinded here: an outside panel gave these answers. Pot letters, cup codes and positions stand for what is not known of it, and mean nothing.";

function documentLine(name: DocumentName): string {
  return `- \`${name}.json\`: ${packageDocuments[name]}`;
}

function dictionary(table: PackageTable): string {
  const rows = table.fields.map(
    ({ name, type, unit, description }) =>
      `| \`${name}\` | ${type}${unit === undefined ? "" : `, ${unit}`} | ${description} |`,
  );
  return [
    `## ${table.name}.csv`,
    "",
    table.description,
    "",
    "| column | type | meaning |",
    "|---|---|---|",
    ...rows,
  ].join("\n");
}
