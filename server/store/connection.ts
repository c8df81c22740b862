import BetterSqlite from "better-sqlite3";
import type { SqliteDatabase, SqliteStatement } from "kysely";

/** An open SQLite file. */
export type Connection = BetterSqlite.Database;

/**
 * Native objects that must never be freed. Compiled with the headers of Node 24.21, an object of the
 * driver aborts the process when a garbage collection frees it (its destructor asks for an
 * environment that a collection doesn't have). So connections and statements are kept until the end;
 * that end is the process's own, since a data file is opened once and a statement prepared once.
 */
const kept: object[] = [];

function keep<Native extends object>(native: Native): Native {
  kept.push(native);
  return native;
}

/** Opens a SQLite file with the driver; throws what the driver throws. */
export function connect(file: string, options: BetterSqlite.Options = {}): Connection {
  return keep(new BetterSqlite(file, options));
}

/** Prepares a statement of one text. Pragmas with an answer come this way too, the others by `exec`. */
export function prepare(connection: Connection, text: string): BetterSqlite.Statement<unknown[]> {
  return keep(connection.prepare(text));
}

/** A connection as Kysely uses it, where each text is prepared once and then used again. */
export function preparedOnce(connection: Connection): SqliteDatabase {
  const statements = new Map<string, SqliteStatement>();
  return {
    close: () => {
      connection.close();
    },
    prepare: (text) => {
      const known = statements.get(text);
      if (known !== undefined) return known;
      const fresh = asKyselyWants(prepare(connection, text));
      statements.set(text, fresh);
      return fresh;
    },
  };
}

function asKyselyWants(statement: BetterSqlite.Statement<unknown[]>): SqliteStatement {
  return {
    reader: statement.reader,
    all: (parameters) => statement.all(...parameters),
    run: (parameters) => statement.run(...parameters),
    iterate: (parameters) => statement.iterate(...parameters),
  };
}

/** Whether an error says that another connection holds the file. */
export function isBusy(error: unknown): boolean {
  return error instanceof BetterSqlite.SqliteError && error.code.startsWith("SQLITE_BUSY");
}
