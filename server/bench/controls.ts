import { z } from "zod";
import type { JsonSchema } from "../api/schemas.ts";

/** One value in a form or a cell: a number, a word of a list, yes or no, or text. */
export type Scalar =
  | { kind: "number"; whole: boolean }
  | { kind: "choice"; options: string[] }
  | { kind: "yes-no" }
  | { kind: "text" };

export interface Column {
  name: string;
  scalar: Scalar;
  required: boolean;
}

/** What a form offers for one field of a calculator's input. */
export type Shape =
  | { kind: "scalar"; scalar: Scalar }
  /** One value a line. */
  | { kind: "list"; scalar: Scalar }
  /** Cells a line: an object of named columns, or bare numbers (`columns` null when any count goes). */
  | { kind: "rows"; named: boolean; columns: Column[] | null }
  | { kind: "json" };

export interface Control {
  /** Keys from the root joined by dots: `alpha`, `ions.calcium`. */
  name: string;
  required: boolean;
  fallback: string;
  shape: Shape;
}

export interface ControlGroup {
  /** The object that the controls are fields of; null at the root. */
  name: string | null;
  required: boolean;
  controls: Control[];
}

const nodeSchema = z.object({
  type: z.string().optional(),
  enum: z.array(z.unknown()).optional(),
  default: z.unknown().optional(),
  required: z.array(z.string()).default([]),
  get properties() {
    return z.record(z.string(), nodeSchema).optional();
  },
  get items() {
    return z.union([z.boolean(), nodeSchema]).optional();
  },
  get prefixItems() {
    return z.array(nodeSchema).optional();
  },
});
type Node = z.output<typeof nodeSchema>;

/**
 * The controls of a form for a calculator's input, from its JSON Schema. Objects become groups of
 * their own; what fits no simpler control is typed as JSON.
 */
export function controlsOf(input: JsonSchema): ControlGroup[] {
  const root = nodeSchema.parse(input);
  const plain: Control[] = [];
  const groups: ControlGroup[] = [];
  for (const [name, node] of Object.entries(root.properties ?? {})) {
    if (node.type !== "object" || node.properties === undefined) {
      plain.push(controlOf(name, node, root));
      continue;
    }
    const controls = Object.entries(node.properties).map(([key, field]) => ({
      ...controlOf(key, field, node),
      name: `${name}.${key}`,
    }));
    groups.push({ name, required: root.required.includes(name), controls });
  }
  return [{ name: null, required: true, controls: plain }, ...groups];
}

function controlOf(name: string, node: Node, parent: Node): Control {
  const fallback = node.default;
  const isPlain = typeof fallback === "number" || typeof fallback === "string";
  return {
    name,
    required: parent.required.includes(name),
    fallback: isPlain ? String(fallback) : "",
    shape: shapeOf(node),
  };
}

function shapeOf(node: Node): Shape {
  const scalar = scalarOf(node);
  if (scalar !== null) return { kind: "scalar", scalar };
  if (node.type !== "array") return { kind: "json" };
  if (node.prefixItems !== undefined) return tuple(node.prefixItems);
  return typeof node.items === "object" ? listOf(node.items) : { kind: "json" };
}

function listOf(item: Node): Shape {
  const scalar = scalarOf(item);
  if (scalar !== null) return { kind: "list", scalar };
  if (item.type === "object") return objectRows(item);
  if (item.prefixItems !== undefined) return tuple(item.prefixItems);
  const cell = typeof item.items === "object" ? scalarOf(item.items) : null;
  return cell?.kind === "number" ? { kind: "rows", named: false, columns: null } : { kind: "json" };
}

function tuple(cells: Node[]): Shape {
  const columns = cells.map((cell, index) => columnOf(String(index + 1), cell, true));
  return columns.some((column) => column === null)
    ? { kind: "json" }
    : { kind: "rows", named: false, columns: columns.flatMap((column) => column ?? []) };
}

function objectRows(item: Node): Shape {
  const columns = Object.entries(item.properties ?? {}).map(([name, cell]) =>
    columnOf(name, cell, item.required.includes(name)),
  );
  return columns.some((column) => column === null)
    ? { kind: "json" }
    : {
        kind: "rows",
        named: true,
        columns: optionalLast(columns.flatMap((column) => column ?? [])),
      };
}

/** Columns that may stay empty come last, so that they can be left out. */
function optionalLast(columns: Column[]): Column[] {
  return [
    ...columns.filter((column) => column.required),
    ...columns.filter((column) => !column.required),
  ];
}

function columnOf(name: string, cell: Node, required: boolean): Column | null {
  const scalar = scalarOf(cell);
  return scalar === null ? null : { name, scalar, required };
}

function scalarOf(node: Node): Scalar | null {
  const words = node.enum?.filter((word) => typeof word === "string");
  if (words !== undefined && words.length > 0) return { kind: "choice", options: words };
  if (node.type === "integer" || node.type === "number") {
    return { kind: "number", whole: node.type === "integer" };
  }
  if (node.type === "boolean") return { kind: "yes-no" };
  return node.type === "string" ? { kind: "text" } : null;
}
