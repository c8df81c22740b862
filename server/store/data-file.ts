import { existsSync } from "node:fs";
import { migrations } from "../../migrations/index.ts";
import { type Connection, connect, isBusy, prepare } from "./connection.ts";

export type DataFileRefusal = "missing" | "not-ours" | "newer-version" | "damaged";

export type DataFileCheck = { ok: true } | { ok: false; refusal: DataFileRefusal; detail: string };

/**
 * Whether a file is a whole Evenpour database of a version that this program knows. Only reads: it
 * neither migrates nor repairs.
 */
export function checkDataFile(file: string): DataFileCheck {
  if (!existsSync(file)) return { ok: false, refusal: "missing", detail: file };
  let connection: Connection | undefined;
  try {
    connection = connect(file, { readonly: true, fileMustExist: true });
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
  const connection = connect(file, { timeout: 0 });
  try {
    // Leaving the write-ahead log needs the file for oneself, and folds the log into the file.
    connection.exec("PRAGMA journal_mode = DELETE");
    return false;
  } catch (error) {
    return isBusy(error);
  } finally {
    connection.close();
  }
}

/**
 * Copies a data file that may be in use into one closed file that needs no write-ahead log. The copy
 * is of one moment: it is read in one transaction.
 */
export function copyDataFile(from: string, to: string): void {
  const source = connect(from, { readonly: true, fileMustExist: true });
  try {
    prepare(source, "VACUUM INTO ?").run(to);
  } finally {
    source.close();
  }
}

function inspect(connection: Connection): DataFileCheck {
  const tables = namesIn(connection, "SELECT name FROM sqlite_master WHERE type = 'table'");
  if (!tables.includes("kysely_migration") || !tables.includes("installation")) {
    return { ok: false, refusal: "not-ours", detail: "it holds other tables" };
  }
  const applied = namesIn(connection, "SELECT name FROM kysely_migration");
  const unknown = applied.filter((name) => !(name in migrations));
  if (unknown.length > 0) {
    return { ok: false, refusal: "newer-version", detail: unknown.join(", ") };
  }
  const verdict = String(prepare(connection, "PRAGMA integrity_check(1)").pluck().get());
  if (verdict !== "ok") return { ok: false, refusal: "damaged", detail: verdict };
  return { ok: true };
}

function namesIn(connection: Connection, query: string): string[] {
  return prepare(connection, query).pluck().all().map(String);
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
