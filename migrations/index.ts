import type { Migration } from "kysely";
import * as leads from "./0001-leads.ts";
import * as experiments from "./0002-experiments.ts";
import * as sessions from "./0003-sessions.ts";
import * as kit from "./0004-kit.ts";
import * as ballots from "./0005-ballots.ts";
import * as brews from "./0006-brews.ts";
import * as events from "./0007-events.ts";
import * as links from "./0008-links.ts";
import * as waters from "./0009-waters.ts";
import * as incidents from "./0010-incidents.ts";
import * as imported from "./0011-imported.ts";
import * as discarded from "./0012-discarded.ts";
import * as blankRuns from "./0013-blank-runs.ts";
import * as removedLeads from "./0014-removed-leads.ts";
import * as discardedExperiments from "./0015-discarded-experiments.ts";
import * as tetrads from "./0016-tetrads.ts";

/** Every migration by name, in order; forward only, run at start. */
export const migrations: Record<string, Migration> = {
  "0001-leads": leads,
  "0002-experiments": experiments,
  "0003-sessions": sessions,
  "0004-kit": kit,
  "0005-ballots": ballots,
  "0006-brews": brews,
  "0007-events": events,
  "0008-links": links,
  "0009-waters": waters,
  "0010-incidents": incidents,
  "0011-imported": imported,
  "0012-discarded": discarded,
  "0013-blank-runs": blankRuns,
  "0014-removed-leads": removedLeads,
  "0015-discarded-experiments": discardedExperiments,
  "0016-tetrads": tetrads,
};
