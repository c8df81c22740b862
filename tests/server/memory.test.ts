import { describe, expect, it } from "vitest";
import { makeMemory } from "../../server/memory.ts";

describe("A memory of what took long to make", () => {
  const made: string[] = [];
  const making = (value: string) => async () => {
    made.push(value);
    return value;
  };

  it("makes a thing once, also for those who ask while it is being made", async () => {
    const memory = makeMemory<string>(10, () => 1);
    const asked = await Promise.all([
      memory("a", "1", making("first")),
      memory("a", "1", making("second")),
    ]);
    expect(asked).toEqual(["first", "first"]);
    expect(made.splice(0)).toEqual(["first"]);
  });

  it("makes it anew under another stamp, and keeps nothing under the old one", async () => {
    const memory = makeMemory<string>(10, () => 1);
    await memory("a", "1", making("old"));
    expect(await memory("a", "2", making("new"))).toBe("new");
    expect(await memory("a", "1", making("older"))).toBe("older");
    made.splice(0);
  });

  it("forgets what was asked for longest ago once all weighs too much", async () => {
    const memory = makeMemory<string>(5, ({ length }) => length);
    for (const text of ["aa", "bb"]) await memory(text, "1", making(text));
    await memory("aa", "1", making("never"));
    await memory("ccc", "1", making("ccc"));
    made.splice(0);
    await memory("aa", "1", making("aa"));
    await memory("bb", "1", making("bb"));
    expect(made.splice(0)).toEqual(["bb"]);
  });

  it("does not hold what alone weighs too much", async () => {
    const memory = makeMemory<string>(5, ({ length }) => length);
    expect(await memory("a", "1", making("abcdef"))).toBe("abcdef");
    expect(await memory("a", "1", making("ghijkl"))).toBe("ghijkl");
    made.splice(0);
  });

  it("does not remember what could not be made", async () => {
    const memory = makeMemory<string>(5, () => 1);
    const failing = async () => {
      throw new Error("locked");
    };
    await expect(memory("a", "1", failing)).rejects.toThrow("locked");
    expect(await memory("a", "1", making("a"))).toBe("a");
    made.splice(0);
  });
});
