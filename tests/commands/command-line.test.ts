import { describe, expect, it } from "vitest";
import { commands } from "../../server/command-line.ts";
import { run, runBuilt } from "./terminal.ts";

describe("The command line", () => {
  it("gives an overview of every command when it is called with nothing or --help", async () => {
    const { code, out } = await run([]);
    expect(code).toBe(0);
    for (const [name, { summary }] of Object.entries(commands)) {
      expect(out).toMatch(new RegExp(`^ +${name} +${summary}$`, "m"));
    }
    expect(await run(["--help"])).toEqual({ code, out, err: "" });
    expect(await run(["help"])).toEqual({ code, out, err: "" });
  });

  it("explains each command with --help and runs nothing", async () => {
    for (const name of Object.keys(commands)) {
      const { code, out, err } = await run([name, "--help"]);
      expect([name, code, err]).toEqual([name, 0, ""]);
      expect(out).toMatch(new RegExp(`^evenpour ${name}\\b`));
    }
  });

  it("refuses an unknown command with the overview", async () => {
    for (const name of ["sreve", "constructor", "--version-of-nothing"]) {
      const { code, out, err } = await run([name]);
      expect([code, out]).toEqual([2, ""]);
      expect(err).toContain(`There is no command ${name}`);
      expect(err).toContain("serve a data file");
    }
  });

  it("answers from the build with the same words and exit codes", async () => {
    expect(await runBuilt(["--help"])).toEqual(await run(["--help"]));
    expect(await runBuilt(["sreve"])).toEqual(await run(["sreve"]));
    expect(await runBuilt(["backup", "--help"])).toEqual(await run(["backup", "--help"]));
  });
});
