import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join, relative, sep } from "node:path";
import { fileURLToPath } from "node:url";
import Handlebars from "handlebars";

/** Where the program keeps its templates, whether it runs from source or from the build. */
export const templatesFolder =
  ["../templates", "../../templates"]
    .map((place) => fileURLToPath(new URL(place, import.meta.url)))
    .find((folder) => existsSync(`${folder}/layouts`)) ?? "templates";

/** Renders a page template inside its layout. Every field a template names must be given. */
export type Render = (template: string, fields: Record<string, unknown>) => string;

const COMPILE = { strict: true, knownHelpersOnly: true, knownHelpers: { eq: true } } as const;

/**
 * Compiles every template below `folder` once: `partials/` and `layouts/` become partials, the rest
 * pages named by their path without ending (`lead/plan`). A page picks its layout with an inline
 * `{{#> layouts/page}}` block.
 */
export function loadTemplates(folder: string): Render {
  const engine = Handlebars.create();
  engine.registerHelper("eq", (left: unknown, right: unknown) => left === right);
  const pages = new Map<string, Handlebars.TemplateDelegate>();
  for (const file of templateFiles(folder)) {
    const name = relative(folder, file)
      .split(sep)
      .join("/")
      .replace(/\.hbs$/, "");
    const source = readFileSync(file, "utf8");
    if (name.startsWith("partials/") || name.startsWith("layouts/")) {
      engine.registerPartial(name, engine.compile(source, COMPILE));
    } else pages.set(name, engine.compile(source, COMPILE));
  }
  return (template, fields) => {
    const page = pages.get(template);
    if (page === undefined) throw new Error(`There is no template ${template}`);
    return page(fields);
  };
}

function templateFiles(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && entry.name.endsWith(".hbs"))
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
}
