import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { strFromU8, unzipSync } from "fflate";
import { afterAll, describe, expect, it } from "vitest";
import { z } from "zod";
import { zipPackage } from "../../server/report/data-package.ts";
import { run } from "../commands/terminal.ts";

const folder = fileURLToPath(new URL("../published/packages", import.meta.url));
const packages = readdirSync(folder).filter((name) => name.endsWith(".zip"));

describe.each(packages)("The data package %s of an earlier version", (name) => {
  const changed = mkdtempSync(join(tmpdir(), "earlier-"));
  afterAll(() => rmSync(changed, { recursive: true }));
  const files = Object.fromEntries(
    Object.entries(unzipSync(readFileSync(join(folder, name)))).map(([file, bytes]) => [
      file,
      strFromU8(bytes),
    ]),
  );
  const findings = z
    .looseObject({
      headline: z.string(),
      endpoints: z.array(z.looseObject({ state: z.string() })),
      controls: z.array(z.looseObject({ pValue: z.number().nullable() })),
    })
    .parse(JSON.parse(files["findings.json"] ?? ""));
  const checked = (stored: unknown) => {
    const place = join(changed, "changed.zip");
    writeFileSync(place, zipPackage({ ...files, "findings.json": JSON.stringify(stored) }));
    return run(["analyse", place, "--check"]);
  };

  it("holds the findings that are computed now, but for fields that it lacks, which are named", async () => {
    const { code, out } = await run(["analyse", join(folder, name), "--check"]);
    // Made on Node 20: another version rounds some exponentials otherwise in the last place.
    expect(out).toMatch(/^The same findings(, to the last digit\.|\. Another version of Node)/);
    expect(out).toContain("An earlier version made this package");
    expect(out).toContain("  endpoints.0.method");
    expect(code).toBe(0);
  });

  it("gives itself away where a field that it holds was changed or added", async () => {
    const headline = findings.headline === "different" ? "close-enough" : "different";
    const other = await checked({ ...findings, headline });
    expect([other.code, other.out]).toEqual([1, expect.stringContaining("  headline: ")]);
    const more = await checked({ ...findings, invented: 1 });
    expect([more.code, more.out]).toEqual([1, expect.stringContaining("  invented: ")]);
  });

  it("takes other last digits for what they are, and nothing larger", async () => {
    const withP = (factor: number) => ({
      ...findings,
      controls: findings.controls.map(({ pValue, ...control }) => ({
        ...control,
        pValue: pValue === null ? null : pValue * factor,
      })),
    });
    const rounded = await checked(withP(1 + 4 * Number.EPSILON));
    expect(rounded.code).toBe(0);
    expect(rounded.out).toContain("Another version of Node rounds the last digits of:");
    expect(rounded.out).toContain("  controls.0.pValue: ");
    const other = await checked(withP(1 + 1e-9));
    expect([other.code, other.out]).toEqual([1, expect.stringContaining("  controls.0.pValue: ")]);
  });

  it("gives itself away where a question's findings were taken out", async () => {
    const fewer = await checked({ ...findings, endpoints: findings.endpoints.slice(1) });
    expect(fewer.code).toBe(1);
    const none = await checked({});
    expect([none.code, none.out]).toEqual([1, expect.stringContaining("  all of it: ")]);
  });
});
