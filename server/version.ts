import { readFileSync } from "node:fs";
import { join } from "node:path";
import { z } from "zod";
import { templatesFolder } from "./render.ts";

const packageSchema = z.object({ version: z.string() });

/** The program's version, as package.json beside the templates has it. */
export const version = packageSchema.parse(
  JSON.parse(readFileSync(join(templatesFolder, "..", "package.json"), "utf8")),
).version;
