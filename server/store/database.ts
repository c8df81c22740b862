import { Kysely, Migrator, SqliteDialect, sql } from "kysely";
import { migrations } from "../../migrations/index.ts";
import { type Connection, connect, preparedOnce } from "./connection.ts";
import type { Database } from "./schema.ts";

export type Store = Kysely<Database>;

export type OpenOutcome =
  | { ok: true; store: Store }
  | { ok: false; refusal: "cannot-open" | "newer-version"; detail: string };

/**
 * Opens the data file, creating it when missing, and brings it to this version's schema.
 * Refuses a file that cannot be opened or written, and one that a newer version has migrated.
 */
export async function openStore(file: string): Promise<OpenOutcome> {
  let connection: Connection;
  try {
    connection = connect(file);
    setPragmas(connection);
  } catch (error) {
    return { ok: false, refusal: "cannot-open", detail: messageOf(error) };
  }
  const store = new Kysely<Database>({
    dialect: new SqliteDialect({ database: preparedOnce(connection) }),
  });
  const unknown = await unknownMigrations(store);
  if (unknown.length > 0) {
    await store.destroy();
    return { ok: false, refusal: "newer-version", detail: unknown.join(", ") };
  }
  const migrator = new Migrator({ db: store, provider: { getMigrations: async () => migrations } });
  const { error } = await migrator.migrateToLatest();
  if (error === undefined) return { ok: true, store };
  await store.destroy();
  return { ok: false, refusal: "cannot-open", detail: messageOf(error) };
}

/** An acknowledged ballot must survive a power cut, hence synchronous FULL with the write-ahead log. */
function setPragmas(connection: Connection): void {
  connection.exec("PRAGMA busy_timeout = 5000");
  connection.exec("PRAGMA journal_mode = WAL");
  connection.exec("PRAGMA synchronous = FULL");
  connection.exec("PRAGMA foreign_keys = ON");
  // What is erased is overwritten, so that a name can't be read out of the file's free pages.
  connection.exec("PRAGMA secure_delete = ON");
}

async function unknownMigrations(store: Store): Promise<string[]> {
  const tables = await sql<{ name: string }>`
    SELECT name FROM sqlite_master WHERE type = 'table' AND name = 'kysely_migration'
  `.execute(store);
  if (tables.rows.length === 0) return [];
  const applied = await sql<{ name: string }>`SELECT name FROM kysely_migration`.execute(store);
  return applied.rows.map((row) => row.name).filter((name) => !(name in migrations));
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
