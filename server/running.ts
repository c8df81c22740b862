import { randomBytes } from "node:crypto";
import { networkInterfaces } from "node:os";
import type { FastifyInstance } from "fastify";
import { buildApp } from "./app.ts";
import type { Config } from "./config.ts";
import { type Deps, now } from "./deps.ts";
import { makeLive } from "./live.ts";
import { loadTemplates, templatesFolder } from "./render.ts";
import { keepErasing } from "./retention.ts";
import { openStore, type Store } from "./store/database.ts";
import { cookieSecret } from "./store/leads.ts";

/** A server that listens, with what its commands need. */
export interface Running {
  app: FastifyInstance;
  deps: Deps;
  close(): Promise<void>;
}

export type StartOutcome = { ok: true; running: Running } | { ok: false; message: string };

/** Opens the store, builds the app and listens; what a person can mend comes back as one line. */
export async function start(config: Config): Promise<StartOutcome> {
  const opened = await openDataFile(config.dataFile);
  if (!opened.ok) return opened;
  const { store } = opened;
  const address = { publicUrl: config.publicUrl.replace(/\/+$/, "") };
  const deps = makeDeps(store, () => address.publicUrl, config);
  const secret = await store
    .transaction()
    .execute((trx) => cookieSecret(trx, randomBytes(32).toString("base64url"), now(deps)));
  const { logLevel, trustedProxies } = config;
  const app = await buildApp(deps, { logLevel, trustedProxies, cookieSecret: secret });
  const stopErasing = await keepErasing(deps, (error) => app.log.error(error));
  const close = async () => {
    stopErasing();
    await app.close();
    await store.destroy();
  };
  try {
    await app.listen({ host: config.address, port: config.port });
  } catch (error) {
    await close();
    return { ok: false, message: describeListenError(error, config) };
  }
  address.publicUrl ||= reachableUrl(config.address, portOf(app));
  return { ok: true, running: { app, deps, close } };
}

/** Opens the data file or says in one line why not. */
export async function openDataFile(
  file: string,
): Promise<{ ok: true; store: Store } | { ok: false; message: string }> {
  const opened = await openStore(file);
  if (opened.ok) return opened;
  const message =
    opened.refusal === "newer-version"
      ? `The data file ${file} was made by a newer version of Evenpour (it knows ${opened.detail}). Use that version, or another file with --data.`
      : `The data file ${file} cannot be opened for writing (${opened.detail}). Check that its folder exists and is yours, or choose another with --data.`;
  return { ok: false, message };
}

/** The real clock and the operating system's randomness around a store. */
export function makeDeps(
  store: Store,
  publicUrl: () => string,
  { retentionDays, roastery }: Pick<Config, "retentionDays" | "roastery">,
): Deps {
  return {
    store,
    publicUrl,
    retentionDays,
    roastery,
    render: loadTemplates(templatesFolder),
    live: makeLive(),
    clock: () => new Date(),
    randomBytes: (count) => randomBytes(count),
  };
}

function portOf(app: FastifyInstance): number {
  const address = app.server.address();
  return typeof address === "object" && address !== null ? address.port : 0;
}

/** An address that phones on the same network can open, when the server listens to all. */
function reachableUrl(host: string, port: number): string {
  const everywhere = host === "0.0.0.0" || host === "::";
  const outside = Object.values(networkInterfaces())
    .flatMap((list) => list ?? [])
    .find((entry) => entry.family === "IPv4" && !entry.internal);
  const name = everywhere ? (outside?.address ?? "127.0.0.1") : host;
  return `http://${name.includes(":") ? `[${name}]` : name}:${port}`;
}

function describeListenError(error: unknown, config: Config): string {
  const code = error instanceof Error && "code" in error ? error.code : undefined;
  if (code === "EADDRINUSE") {
    return `Port ${config.port} is taken by another program. Stop it, or choose another with --port.`;
  }
  if (code === "EACCES") {
    return `Port ${config.port} needs more rights than this user has. Choose one above 1023 with --port.`;
  }
  return `Cannot listen on ${config.address}:${config.port} (${error instanceof Error ? error.message : String(error)}). Check --address.`;
}
