import {
  copyFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { listLeads } from "../../server/store/colleagues.ts";
import { connect, prepare } from "../../server/store/connection.ts";
import { openStore, type Store } from "../../server/store/database.ts";
import { addLead } from "../../server/store/leads.ts";
import { run } from "./terminal.ts";

let folder: string;
let dataFile: string;
let store: Store;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "evenpour-backup-"));
  dataFile = join(folder, "data.sqlite");
  store = await opened(dataFile);
  await addLeadCalled(store, "Ines");
});

afterEach(async () => {
  await store.destroy();
  rmSync(folder, { recursive: true });
});

describe("evenpour backup", () => {
  it("copies a data file that is being served, with what was last written", async () => {
    const file = join(folder, "backup.sqlite");
    const { code, out } = await run(["backup", file, "--data", dataFile]);
    expect([code, out]).toEqual([0, expect.stringContaining("opens and is whole")]);
    expect(await leadsIn(file)).toEqual(["Ines"]);
  });

  it("leaves one closed file that only its owner may read", async () => {
    const file = join(folder, "backup.sqlite");
    await run(["backup", file, "--data", dataFile]);
    expect(statSync(file).mode & 0o077).toBe(0);
    expect(readdirSync(folder).filter((name) => name.startsWith("backup"))).toEqual([
      "backup.sqlite",
    ]);
    const connection = connect(file, { readonly: true });
    expect(prepare(connection, "PRAGMA journal_mode").pluck().get()).toBe("delete");
    connection.close();
  });

  it("overwrites an existing file only when it is asked to", async () => {
    const file = join(folder, "backup.sqlite");
    writeFileSync(file, "something dear");
    const refused = await run(["backup", file, "--data", dataFile]);
    expect([refused.code, refused.err]).toEqual([2, expect.stringContaining("--force")]);
    expect(statSync(file).size).toBe("something dear".length);
    expect((await run(["backup", file, "--data", dataFile, "--force"])).code).toBe(0);
    expect(await leadsIn(file)).toEqual(["Ines"]);
  });

  it("says what is wrong in one line: no data file, no folder, no name", async () => {
    const lost = join(folder, "lost", "backup.sqlite");
    const file = join(folder, "backup.sqlite");
    const noData = await run(["backup", file, "--data", join(folder, "other.sqlite")]);
    expect([noData.code, noData.err]).toEqual([2, expect.stringContaining("There is no file")]);
    expect(existsSync(join(folder, "other.sqlite"))).toBe(false);
    const noFolder = await run(["backup", lost, "--data", dataFile]);
    expect([noFolder.code, noFolder.err]).toEqual([2, expect.stringContaining("Check its folder")]);
    expect((await run(["backup"], "", { EVENPOUR_DATA: dataFile })).code).toBe(2);
    expect((await run(["backup", "--help"])).out).toContain("keys of sealed sessions");
  });
});

describe("evenpour restore", () => {
  it("puts a backup in the data file's place and keeps the old one", async () => {
    const file = join(folder, "backup.sqlite");
    await run(["backup", file], "", { EVENPOUR_DATA: dataFile });
    await addLeadCalled(store, "Noor");
    await store.destroy();
    const { code, out } = await run(["restore", file], "", { EVENPOUR_DATA: dataFile });
    expect(code).toBe(0);
    expect(await leadsIn(dataFile)).toEqual(["Ines"]);
    const kept = /kept as (\S+)\.\n/.exec(out)?.[1] ?? "";
    expect(await leadsIn(kept)).toEqual(["Ines", "Noor"]);
  });

  it("refuses while a server has the data file open, and changes nothing", async () => {
    const file = join(folder, "backup.sqlite");
    await run(["backup", file, "--data", dataFile]);
    await addLeadCalled(store, "Noor");
    const { code, err } = await run(["restore", file, "--data", dataFile]);
    expect([code, err]).toEqual([2, expect.stringContaining("Stop the server")]);
    expect((await listLeads(store)).map((lead) => lead.name)).toEqual(["Ines", "Noor"]);
    expect(readdirSync(folder).some((name) => name.includes("before-restore"))).toBe(false);
  });

  it("makes a data file where there was none, and replaces one that is broken", async () => {
    const file = join(folder, "backup.sqlite");
    await run(["backup", file, "--data", dataFile]);
    const fresh = join(folder, "fresh.sqlite");
    expect((await run(["restore", file, "--data", fresh])).code).toBe(0);
    expect(await leadsIn(fresh)).toEqual(["Ines"]);
    const broken = join(folder, "broken.sqlite");
    writeFileSync(broken, "no database at all, but long enough to be taken for one".repeat(100));
    expect((await run(["restore", file, "--data", broken])).code).toBe(0);
    expect(await leadsIn(broken)).toEqual(["Ines"]);
  });

  it("refuses what is not a whole Evenpour file of a known version", async () => {
    await store.destroy();
    const cases: [string, (file: string) => void, string][] = [
      ["missing", () => {}, "There is no file"],
      ["text", (file) => writeFileSync(file, "hello"), "not an Evenpour data file"],
      ["foreign", (file) => execute(file, "CREATE TABLE beans (name TEXT)"), "not an Evenpour"],
      ["newer", (file) => copyAndExecute(file, NEWER), "newer version"],
      ["damaged", (file) => copyAndExecute(file, DAMAGE), "damaged"],
    ];
    for (const [name, make, complaint] of cases) {
      const file = join(folder, `${name}.sqlite`);
      make(file);
      const { code, err } = await run(["restore", file, "--data", dataFile]);
      expect([name, code, err]).toEqual([name, 2, expect.stringContaining(complaint)]);
    }
    const itself = await run(["restore", dataFile, "--data", dataFile]);
    expect(itself.err).toContain("the data file itself");
    expect(await leadsIn(dataFile)).toEqual(["Ines"]);
  });
});

const NEWER =
  "INSERT INTO kysely_migration (name, timestamp) VALUES ('9999-later', '2030-01-01T00:00:00Z')";
/** Puts a value into a column that must not be empty: what a torn page can leave behind. */
const DAMAGE = `
  PRAGMA writable_schema = ON;
  UPDATE sqlite_master SET sql = replace(sql, '"passphrase_hash" text not null', '"passphrase_hash" text')
    WHERE name = 'leads';
  PRAGMA writable_schema = RESET;
  UPDATE leads SET passphrase_hash = NULL;
  PRAGMA writable_schema = ON;
  UPDATE sqlite_master SET sql = replace(sql, '"passphrase_hash" text', '"passphrase_hash" text not null')
    WHERE name = 'leads';`;

async function opened(file: string): Promise<Store> {
  const outcome = await openStore(file);
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.store;
}

async function addLeadCalled(to: Store, name: string): Promise<void> {
  const lead = {
    id: name,
    name,
    passphraseHash: "scrypt$none$none",
    at: "2026-03-02T09:00:00.000Z",
  };
  await to.transaction().execute((trx) => addLead(trx, lead));
}

async function leadsIn(file: string): Promise<string[]> {
  const copy = await opened(file);
  const leads = await listLeads(copy);
  await copy.destroy();
  return leads.map((lead) => lead.name);
}

function execute(file: string, statements: string): void {
  const connection = connect(file);
  connection.unsafeMode(true);
  connection.exec(statements);
  connection.close();
}

function copyAndExecute(file: string, statements: string): void {
  copyFileSync(dataFile, file);
  execute(file, statements);
}
