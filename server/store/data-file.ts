import { existsSync } from "node:fs";
import BetterSqlite from "better-sqlite3";
import { migrations } from "../../migrations/index.ts";

export type DataFileRefusal = "missing" | "not-ours" | "newer-version" | "damaged";

export type DataFileCheck = { ok: true } | { ok: false; refusal: DataFileRefusal; detail: string };

/**
 * Whether a file is a whole Evenpour database of a version that this program knows. Only reads: it
 * neither migrates nor repairs.
 */
export function checkDataFile(file: string): DataFileCheck {
  if (!existsSync(file)) return { ok: false, refusal: "missing", detail: file };
  let connection: BetterSqlite.Database | undefined;
  try {
    connection = new BetterSqlite(file, { readonly: true, fileMustExist: true });
    return inspect(connection);
  } catch (error) {
    return { ok: false, refusal: "not-ours", detail: messageOf(error) };
  } finally {
    connection?.close();
  }
}

/**
 * Whether another connection (a running server, say) has the data file open. A file that is no
 * database is in nobody's use.
 */
export function isInUse(file: string): boolean {
  if (!existsSync(file)) return false;
  const connection = new BetterSqlite(file, { timeout: 0 });
  try {
    // Leaving the write-ahead log needs the file for oneself, and folds the log into the file.
    connection.pragma("journal_mode = DELETE");
    return false;
  } catch (error) {
    return error instanceof BetterSqlite.SqliteError && error.code.startsWith("SQLITE_BUSY");
  } finally {
    connection.close();
  }
}

/**
 * Copies a data file that may be in use into one closed file that needs no write-ahead log, by
 * SQLite's online backup.
 */
export async function copyDataFile(from: string, to: string): Promise<void> {
  const source = new BetterSqlite(from, { readonly: true, fileMustExist: true });
  try {
    await source.backup(to);
  } finally {
    source.close();
  }
  const copy = new BetterSqlite(to);
  copy.pragma("journal_mode = DELETE");
  copy.close();
}

function inspect(connection: BetterSqlite.Database): DataFileCheck {
  const tables = namesIn(connection, "SELECT name FROM sqlite_master WHERE type = 'table'");
  if (!tables.includes("kysely_migration") || !tables.includes("installation")) {
    return { ok: false, refusal: "not-ours", detail: "it holds other tables" };
  }
  const applied = namesIn(connection, "SELECT name FROM kysely_migration");
  const unknown = applied.filter((name) => !(name in migrations));
  if (unknown.length > 0) {
    return { ok: false, refusal: "newer-version", detail: unknown.join(", ") };
  }
  const verdict = String(connection.pragma("integrity_check(1)", { simple: true }));
  if (verdict !== "ok") return { ok: false, refusal: "damaged", detail: verdict };
  return { ok: true };
}

function namesIn(connection: BetterSqlite.Database, query: string): string[] {
  return connection.prepare(query).pluck().all().map(String);
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
