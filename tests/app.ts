import { createHash } from "node:crypto";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { FastifyInstance } from "fastify";
import { Visitor } from "../seed/visitor.ts";
import { buildApp } from "../server/app.ts";
import { type Deps, hashToken } from "../server/deps.ts";
import { makeInvitation } from "../server/lead/invitation.ts";
import { makeLive } from "../server/live.ts";
import { loadTemplates, templatesFolder } from "../server/render.ts";
import { openStore } from "../server/store/database.ts";
import { addLead } from "../server/store/leads.ts";

export { Visitor };

export const LEAD = { name: "Ines", passphrase: "three slow kettles" };

/** The whole program on a SQLite file of its own, with a clock and chance that a test controls. */
export interface House {
  app: FastifyInstance;
  /** The SQLite file that it keeps. */
  dataFile: string;
  deps: Deps;
  /** What the program has logged so far, from warnings up. */
  logged: readonly string[];
  /** Moves the clock on. */
  wait(milliseconds: number): void;
  /** A browser-like visitor with its own cookies. */
  visitor(): Visitor;
  /** A visitor who is signed in as a lead. */
  signedInLead(): Promise<Visitor>;
  close(): Promise<void>;
}

/** Starts the program on an empty file; close it when the test ends. `alter` may plant a fault. */
export async function openHouse(
  start = "2026-03-02T09:00:00.000Z",
  alter: (app: FastifyInstance) => void = () => {},
): Promise<House> {
  const folder = mkdtempSync(join(tmpdir(), "evenpour-"));
  const dataFile = join(folder, "data.sqlite");
  const opened = await openStore(dataFile);
  if (!opened.ok) throw new Error(opened.detail);
  let moment = Date.parse(start);
  const deps: Deps = {
    store: opened.store,
    render: loadTemplates(templatesFolder),
    live: makeLive(),
    clock: () => new Date(moment),
    randomBytes: countedBytes(),
    publicUrl: () => "http://192.0.2.10:8080",
    retentionDays: 0,
    roastery: "",
  };
  const logged: string[] = [];
  const app = await buildApp(deps, {
    logLevel: "warn",
    logTo: { write: (line) => logged.push(line) },
    cookieSecret: "a secret for tests only, long",
  });
  alter(app);
  await app.ready();
  return {
    app,
    dataFile,
    deps,
    logged,
    wait: (milliseconds) => {
      moment += milliseconds;
    },
    visitor: () => new Visitor(app),
    signedInLead: () => signedInLead(app, deps),
    close: async () => {
      await app.close();
      await opened.store.destroy();
      rmSync(folder, { recursive: true });
    },
  };
}

/** Bytes that look random and are the same in every run. */
function countedBytes(): (count: number) => Uint8Array {
  let calls = 0;
  return (count) => {
    calls += 1;
    const blocks = Array.from({ length: Math.ceil(count / 32) }, (_, block) =>
      createHash("sha256").update(`${calls}/${block}`).digest(),
    );
    return new Uint8Array(Buffer.concat(blocks).subarray(0, count));
  };
}

async function signedInLead(app: FastifyInstance, deps: Deps): Promise<Visitor> {
  const id = hashToken(`lead ${Math.floor(deps.clock().getTime())} ${deps.randomBytes(4).join()}`);
  const passphraseHash = "scrypt$none$none";
  const lead = {
    id,
    name: `${LEAD.name} ${id.slice(0, 4)}`,
    passphraseHash,
    at: deps.clock().toISOString(),
  };
  await deps.store.transaction().execute((trx) => addLead(trx, lead));
  const token = await makeInvitation(deps, { purpose: "sign-in", leadId: id });
  const visitor = new Visitor(app);
  await visitor.get(`/enter/${token}`);
  await visitor.post(`/enter/${token}`, {});
  return visitor;
}
