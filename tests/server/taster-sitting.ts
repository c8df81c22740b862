import { CANNOT_TELL, choosable } from "../../src/experiment/ballot.ts";
import type { SetKind } from "../../src/experiment/endpoint.ts";
import type { House, Visitor } from "../app.ts";
import type { SealedFixture } from "../sealed-session.ts";

/** What lies on a tray, read past the program: kind of set and codes in serving order. */
export interface Tray {
  ordinal: number;
  kind: SetKind;
  codes: string[];
}

/** A visitor who has joined a session; the first one sits on seat 1. */
export async function joined(
  house: House,
  { joinCode }: SealedFixture,
  form: Record<string, string> = {},
): Promise<Visitor> {
  const visitor = house.visitor();
  await visitor.get(`/join/${joinCode}?language=en`);
  const { seated } = await house.deps.store
    .selectFrom("tasters")
    .select(({ fn }) => fn.countAll<number>().as("seated"))
    .executeTakeFirstOrThrow();
  // Nobody sits down under a name that another has.
  const name = seated === 0 ? "Q. R." : `Q. R. ${seated + 1}`;
  const fields = { language: "en", name, consent: "yes", ...form };
  const answer = await visitor.post(`/join/${joinCode}`, fields);
  if (answer.statusCode !== 303) throw new Error(`Joining was refused: ${answer.body}`);
  await visitor.get("/taste");
  return visitor;
}

export async function traysOf(house: House, fixture: SealedFixture, seat = 1): Promise<Tray[]> {
  const cups = await house.deps.store
    .selectFrom("cups")
    .innerJoin("presentations", "presentations.id", "cups.presentation_id")
    .innerJoin("seats", "seats.id", "cups.seat_id")
    .select(["presentations.ordinal", "presentations.set_kind", "cups.code"])
    .where("seats.session_id", "=", fixture.sessionId)
    .where("seats.number", "=", seat)
    .orderBy("presentations.ordinal")
    .orderBy("cups.position")
    .execute();
  const trays: Tray[] = [];
  for (const { ordinal, set_kind, code } of cups) {
    if (trays.at(-1)?.ordinal !== ordinal) trays.push({ ordinal, kind: set_kind, codes: [] });
    trays.at(-1)?.codes.push(code);
  }
  return trays;
}

/** A whole ballot on a tray of the example plan: the cup at `place` for every choice, 40 for every score. */
export function ballotOn(tray: Tray, place = 0): Record<string, string> {
  const key = `a-key-of-the-phone-${tray.ordinal}`;
  const code = choosable(tray.kind, tray.codes)[place] ?? CANNOT_TELL;
  if (tray.kind === "three-afc") return { key, step: "lock", e6: code };
  if (tray.kind !== "ab") return { key, step: "lock", e1: code };
  const scores = Object.fromEntries(tray.codes.map((cup) => [`e4-${cup}`, "40"]));
  return { key, step: "lock", e2: code, e3: code, ...scores };
}

/** The first tray of a kind. */
export function firstOf(trays: readonly Tray[], kind: Tray["kind"]): Tray {
  const tray = trays.find((one) => one.kind === kind);
  if (tray === undefined) throw new Error(`The kit has no ${kind}`);
  return tray;
}

/** Posts a ballot as the page's script does, asking for JSON. */
export async function postByScript(
  house: House,
  visitor: Visitor,
  ordinal: number,
  fields: Record<string, string>,
) {
  const page = await visitor.get("/taste/stop");
  const csrf = /name="_csrf" value="([^"]+)"/.exec(page.body)?.[1] ?? "";
  const cookie = [...visitor.cookies].map(
    ([name, value]) => `${name}=${encodeURIComponent(value)}`,
  );
  return await house.app.inject({
    method: "POST",
    url: `/taste/${ordinal}`,
    headers: {
      accept: "application/json",
      "content-type": "application/x-www-form-urlencoded",
      cookie: cookie.join("; "),
    },
    payload: new URLSearchParams({ ...fields, _csrf: csrf }).toString(),
  });
}
