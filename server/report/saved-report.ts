import { readFileSync } from "node:fs";
import { join } from "node:path";
import Handlebars from "handlebars";
import type { Deps } from "../deps.ts";
import { templatesFolder } from "../render.ts";
import type { SealedSession } from "../sealed-session.ts";
import { type Reported, reportFields } from "./report-page.ts";

/** The report as one HTML file: styles and drawings inside, nothing loaded from anywhere. */
export function savedReport(
  { render, roastery }: Pick<Deps, "render" | "roastery">,
  session: SealedSession,
  reported: Reported,
): string {
  return render("report/saved", {
    ...reportFields(session, reported, { forLead: false, saveHref: null, roastery }),
    language: "en",
    styles: new Handlebars.SafeString(`<style>\n${styles()}</style>`),
  });
}

function styles(): string {
  return ["house.css", "report.css"]
    .map((name) => readFileSync(join(templatesFolder, "assets", name), "utf8"))
    .join("\n");
}
