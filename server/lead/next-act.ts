import type { SessionState } from "../../src/experiment/session.ts";
import type { Session } from "../store/sessions.ts";

/** The one thing to do next: a page to go to, or an act to post. */
export interface NextAct {
  explanation: string;
  label: string;
  href: string;
  posts: boolean;
}

const acts: Record<SessionState, Omit<NextAct, "href"> & { path: string }> = {
  draft: {
    explanation:
      "Read the plan back once more. Sealing freezes it and draws codes, orders and pots.",
    label: "Read back and seal",
    path: "/seal",
    posts: false,
  },
  sealed: {
    explanation:
      "Print the papers, brew and pour. Open the session when the first cups are on the table: from then on phones can send answers.",
    label: "Open for answers",
    path: "/opening",
    posts: true,
  },
  open: {
    explanation:
      "Watch the room. When everyone has finished, close: no answer is taken after that.",
    label: "Close the session…",
    path: "/closure",
    posts: false,
  },
  closed: {
    explanation:
      "Open the key: the brew log locks with it, and nobody can change anything any more.",
    label: "Open the key…",
    path: "/unblinding",
    posts: false,
  },
  unblinded: {
    explanation: "The key is open and the data are locked.",
    label: "Read the report",
    path: "/report",
    posts: false,
  },
};

const imported: (typeof acts)[SessionState] = {
  explanation:
    "An outside panel gave these answers: nothing of it was blinded here, and the report says so.",
  label: "Read the report",
  path: "/report",
  posts: false,
};

const logUnfinished =
  "Finish the brew log first: it locks when the key opens. Then open the key, and nobody can change anything any more.";

/** What a session is waiting for; `potsUnlogged` counts those without a brew in the log. */
export function nextAct({ id, state, origin }: Session, potsUnlogged: number): NextAct {
  const { path, ...act } = origin === "imported" ? imported : acts[state];
  const explanation = state === "closed" && potsUnlogged > 0 ? logUnfinished : act.explanation;
  return { ...act, explanation, href: `/lead/sessions/${id}${path}` };
}

/** The further pages of a session that make sense in its state. */
export function pagesOf({ id, state, origin, sealed }: Session): { href: string; label: string }[] {
  if (sealed === null) return [];
  const base = `/lead/sessions/${id}`;
  if (origin === "imported") return [{ href: `${base}/links`, label: "Links to read the report" }];
  const opened = state !== "sealed";
  return [
    { href: `${base}/room`, label: "Room: pouring, and who has finished" },
    {
      href: `${base}/links`,
      label: "Sheets and links: labels, trays, ballots; sheets for a second person",
    },
    { href: `${base}/tasters`, label: "Tasters: names, and erasing them" },
    { href: `${base}/brews`, label: "Brew log" },
    ...(opened ? [] : [{ href: `${base}/amendment`, label: "Amend the plan, until it opens" }]),
    ...(state === "unblinded"
      ? [
          { href: `${base}/key`, label: "The opened key" },
          { href: `${base}/afterwards`, label: "What tasters may see" },
        ]
      : []),
  ];
}
