import { chmodSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { findChromium, type Machine } from "./chromium.ts";

describe("Browser tests get their Chromium", () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), "evenpour-chromium-"));
  });
  afterEach(() => rmSync(folder, { recursive: true }));

  const program = (name: string) => {
    const path = join(folder, name);
    writeFileSync(path, "#!/bin/sh\n");
    chmodSync(path, 0o755);
    return path;
  };
  const machine = (changes: Partial<Machine>): Machine => ({
    environment: { PATH: folder },
    isRoot: false,
    usualPath: join(folder, "nowhere"),
    run: () => {
      throw new Error("nothing may be installed here");
    },
    ...changes,
  });

  it("from EVENPOUR_CHROMIUM, and says so when it names none", () => {
    const own = program("own-browser");
    const named = (path: string) =>
      findChromium(machine({ environment: { EVENPOUR_CHROMIUM: path, PATH: folder } }));
    expect(named(own)).toEqual({ ok: true, path: own });
    program("chromium");
    const missing = named(join(folder, "missing"));
    expect(missing).toEqual({ ok: false, message: expect.stringContaining("is no program") });
  });

  it("from the usual place, then from PATH", () => {
    const usual = program("usual");
    const onPath = program("google-chrome");
    expect(findChromium(machine({ usualPath: usual }))).toEqual({ ok: true, path: usual });
    expect(findChromium(machine({}))).toEqual({ ok: true, path: onPath });
  });

  it("by installing it where that is allowed", () => {
    const calls: string[] = [];
    const run = (name: string, args: string[]) => {
      calls.push([name, ...args].join(" "));
      if (args[0] === "install") program("chromium");
    };
    expect(findChromium(machine({ isRoot: true, run }))).toEqual({
      ok: true,
      path: join(folder, "chromium"),
    });
    expect(calls).toEqual(["apt-get update", "apt-get install -y chromium"]);
  });

  it("or says in one line what to do", () => {
    const asUser = findChromium(machine({}));
    const failing = findChromium(machine({ isRoot: true }));
    for (const outcome of [asUser, failing]) {
      expect(outcome).toEqual({
        ok: false,
        message: expect.stringMatching(/^[^\n]*apt-get[^\n]*$/),
      });
    }
  });
});
