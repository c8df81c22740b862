import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  appendEvent,
  CHAIN_START,
  type ChainHead,
  chainHash,
  type SessionAct,
  type SessionEvent,
  verifyChain,
} from "../../src/experiment/event.ts";

const acts: fc.Arbitrary<SessionAct> = fc.record({
  at: fc
    .date({ min: new Date("2020-01-01"), max: new Date("2040-01-01"), noInvalidDate: true })
    .map((date) => date.toISOString()),
  actor: fc.uuid(),
  kind: fc.constantFrom("sealed", "opened", "ballot-received", "cup-spilled"),
  body: fc.dictionary(fc.string({ unit: "grapheme" }), fc.oneof(fc.integer(), fc.boolean())),
});

function chainOf(list: readonly SessionAct[]): SessionEvent[] {
  const events: SessionEvent[] = [];
  for (const act of list) events.push(appendEvent(events.at(-1) ?? CHAIN_START, act));
  return events;
}

const opened: SessionAct = {
  at: "2031-03-04T09:30:00.000Z",
  actor: "f1",
  kind: "opened",
  body: { seats: 12 },
};
const closed: SessionAct = { ...opened, at: "2031-03-04T11:00:00.000Z", kind: "closed" };
const log = chainOf([opened, { ...opened, kind: "cup-spilled", body: { code: "481" } }, closed]);

function headOf(events: readonly SessionEvent[]): ChainHead {
  const { sequence, hash } = events.at(-1) ?? CHAIN_START;
  return { sequence, hash };
}

describe("a session's log", () => {
  test("of any acts verifies and gives its head, also after a journey through a file", () => {
    fc.assert(
      fc.property(fc.array(acts, { maxLength: 12 }), (list) => {
        const events = chainOf(list);
        const read = JSON.parse(JSON.stringify(events));
        expect(verifyChain(read)).toEqual({ ok: true, head: headOf(events) });
        expect(events.map((event) => event.sequence)).toEqual(events.map((_, at) => at + 1));
      }),
      { numRuns: 100 },
    );
  });

  test("verifies whatever its bodies' fields are called", () => {
    const body = JSON.parse('{"__proto__": 1, "constructor": {"__proto__": 2}}');
    const events = JSON.parse(JSON.stringify(chainOf([{ ...opened, body }, closed])));
    expect(verifyChain(events)).toMatchObject({ ok: true });
    expect(verifyChain([{ ...events[0], body: {} }])).toMatchObject({ refusal: "hash-differs" });
  });

  test("shows where any field of any event was edited", () => {
    const edits: Partial<SessionEvent>[] = [
      { at: "2031-03-04T09:31:00.000Z" },
      { actor: "f2" },
      { kind: "voided" },
      { body: { seats: 13 } },
      { hash: "a".repeat(64) },
    ];
    for (const place of log.keys()) {
      for (const edit of edits) {
        const edited = log.map((event, at) => (at === place ? { ...event, ...edit } : event));
        expect(verifyChain(edited)).toMatchObject({ ok: false, sequence: place + 1 });
      }
    }
  });

  test("shows an edit whose own hash was made to fit, at the event after it", () => {
    const [first, ...rest] = log;
    if (first === undefined) throw new Error("no event");
    const forged = { ...first, body: { seats: 13 } };
    const fitted = { ...forged, hash: chainHash(CHAIN_START.hash, forged) };
    expect(verifyChain([fitted, ...rest])).toEqual({
      ok: false,
      sequence: 2,
      refusal: "previous-hash-differs",
    });
  });

  test("shows an event removed, repeated or moved", () => {
    const [one, two, three] = log;
    expect(verifyChain([one, three])).toMatchObject({ sequence: 2, refusal: "sequence-broken" });
    expect(verifyChain([one, one, two])).toMatchObject({ sequence: 2 });
    expect(verifyChain([two, one, three])).toMatchObject({ sequence: 1 });
  });

  test("shows a cut end, or an end rewritten whole, against the head that was expected", () => {
    const head = headOf(log);
    expect(verifyChain(log, head)).toEqual({ ok: true, head });
    expect(verifyChain(log.slice(0, 2))).toMatchObject({ ok: true });
    expect(verifyChain(log.slice(0, 2), head)).toMatchObject({ refusal: "head-differs" });
    const rewritten = chainOf([opened, opened, closed]);
    expect(verifyChain(rewritten)).toMatchObject({ ok: true });
    expect(verifyChain(rewritten, head)).toMatchObject({ refusal: "head-differs" });
  });

  test.each([
    ["no event", null],
    ["broken Unicode in a name", { ...log[0], actor: "\ud800" }],
    ["a missing field", { ...log[0], actor: undefined }],
    ["an added field", { ...log[0], note: "late" }],
    ["a time that is none", { ...log[0], at: "yesterday" }],
    ["a body that is no object", { ...log[0], body: "late" }],
    ["broken Unicode in a body", { ...log[0], body: { comment: "\ud800" } }],
  ])("calls %s malformed", (_, event) => {
    expect(verifyChain([event])).toEqual({ ok: false, sequence: 1, refusal: "malformed-event" });
  });
});
