import { parseArgs } from "node:util";
import { z } from "zod";
import { trustedProxiesSchema } from "./trusted-proxies.ts";

const whole = (least: number, most: number) =>
  z
    .string()
    .regex(/^\d+$/, "Give a whole number")
    .transform(Number)
    .refine((value) => value >= least && value <= most, `Give a number from ${least} to ${most}`);

/** Every setting: its flag, its variable, its default and one line of help. */
export const settings = {
  port: {
    flag: "port",
    variable: "EVENPOUR_PORT",
    fallback: "8080",
    help: "Port to listen on (0 picks a free one)",
    schema: whole(0, 65_535),
  },
  address: {
    flag: "address",
    variable: "EVENPOUR_ADDRESS",
    fallback: "0.0.0.0",
    help: "Address to listen on; the default lets phones on the same network in",
    schema: z.string().trim().min(1, "Give an address"),
  },
  dataFile: {
    flag: "data",
    variable: "EVENPOUR_DATA",
    fallback: "evenpour.sqlite",
    help: "The SQLite data file; created when missing",
    schema: z.string().trim().min(1, "Give a file"),
  },
  publicUrl: {
    flag: "public-url",
    variable: "EVENPOUR_PUBLIC_URL",
    fallback: "",
    help: "Address that phones use, for links and QR codes; found by itself when empty",
    schema: z.union([
      z.literal(""),
      z.url({ protocol: /^https?$/, error: "Give an http(s) address" }),
    ]),
  },
  retentionDays: {
    flag: "retention-days",
    variable: "EVENPOUR_RETENTION_DAYS",
    fallback: "0",
    help: "Days after the key is opened until tasters' names and comments are erased; 0 keeps them",
    schema: whole(0, 36_500),
  },
  roastery: {
    flag: "roastery",
    variable: "EVENPOUR_ROASTERY",
    fallback: "",
    help: "Name of the roastery, shown on reports and on the join poster; left out when empty",
    schema: z.string().trim().max(80, "Use at most 80 characters"),
  },
  trustedProxies: {
    flag: "trust-proxy",
    variable: "EVENPOUR_TRUST_PROXY",
    fallback: "",
    help: "Reverse proxies in front, whose word on a visitor's address is taken: how many, or their addresses separated by commas; none when empty",
    schema: trustedProxiesSchema,
  },
  logLevel: {
    flag: "log-level",
    variable: "EVENPOUR_LOG_LEVEL",
    fallback: "warn",
    help: "How much to log: fatal, error, warn, info, debug, trace or silent",
    schema: z.enum(["fatal", "error", "warn", "info", "debug", "trace", "silent"]),
  },
} as const;

const configSchema = z.object({
  port: settings.port.schema,
  address: settings.address.schema,
  dataFile: settings.dataFile.schema,
  publicUrl: settings.publicUrl.schema,
  retentionDays: settings.retentionDays.schema,
  roastery: settings.roastery.schema,
  trustedProxies: settings.trustedProxies.schema,
  logLevel: settings.logLevel.schema,
});

export type Config = Readonly<z.output<typeof configSchema>>;

export type ConfigOutcome = { ok: true; config: Config } | { ok: false; message: string };

type SettingName = keyof typeof settings;
const names: SettingName[] = [
  "port",
  "address",
  "dataFile",
  "publicUrl",
  "retentionDays",
  "roastery",
  "trustedProxies",
  "logLevel",
];

/** Reads settings from flags, then EVENPOUR_* variables, then defaults; one line says what is wrong. */
export function readConfig(
  args: string[],
  environment: Readonly<Record<string, string | undefined>>,
): ConfigOutcome {
  const flags = readFlags(args);
  if (!flags.ok) return flags;
  const raw = Object.fromEntries(
    names.map((name) => {
      const { flag, variable, fallback } = settings[name];
      return [name, flags.values[flag] ?? environment[variable] ?? fallback];
    }),
  );
  const parsed = configSchema.safeParse(raw);
  if (parsed.success) return { ok: true, config: Object.freeze(parsed.data) };
  const lines = parsed.error.issues.map((issue) => {
    const name = names.find((candidate) => candidate === issue.path[0]) ?? "port";
    return `--${settings[name].flag} (${settings[name].variable}): ${issue.message}`;
  });
  return { ok: false, message: lines.join("; ") };
}

function readFlags(
  args: string[],
): { ok: true; values: Record<string, string | undefined> } | { ok: false; message: string } {
  const options = Object.fromEntries(
    names.map((name) => [settings[name].flag, { type: "string" as const }]),
  );
  try {
    const { values } = parseArgs({ args, options, strict: true });
    return { ok: true, values: z.record(z.string(), z.string().optional()).parse(values) };
  } catch (error) {
    return { ok: false, message: error instanceof Error ? error.message : String(error) };
  }
}

/** The settings as lines of help text. */
export function describeSettings(): string {
  return names
    .map((name) => {
      const { flag, variable, fallback, help } = settings[name];
      const shown = fallback === "" ? "" : ` (default ${fallback})`;
      return `  --${flag.padEnd(14)} ${help}${shown}; or ${variable}`;
    })
    .join("\n");
}
