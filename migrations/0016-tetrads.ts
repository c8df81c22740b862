import type { Kysely } from "kysely";

/** The right answer of a tetrad: where the cup stands that goes with the first one. */
export async function up(db: Kysely<unknown>): Promise<void> {
  await db.schema.alterTable("presentation_keys").addColumn("fellow_position", "integer").execute();
}
