import { describe, expect, it } from "vitest";
import { happeningSentences } from "../../src/report/wording/happenings.ts";

describe("What happened in the room", () => {
  it("is told by kind, with how often, and not at all when nothing did", () => {
    expect(happeningSentences([{ kind: "sealed" }, { kind: "ballot-stored" }])).toEqual([]);
    const log = [
      "incident-spill",
      "incident-spill",
      "taster-withdrew",
      "ballot-differs",
      "incident-pause",
    ];
    expect(happeningSentences(log.map((kind) => ({ kind })))).toEqual([
      "1 taster withdrew before closing; their answers don't count.",
      "2 cups were poured anew from the same pot under a spare code.",
      "The tasting was paused 1 time.",
      "1 second answer that differed from the first was logged and not counted.",
    ]);
  });
});
