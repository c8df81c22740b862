import type { FastifyInstance } from "fastify";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { buildApp } from "../../server/app.ts";
import { readConfig } from "../../server/config.ts";
import type { TrustedProxies } from "../../server/trusted-proxies.ts";
import { type House, openHouse } from "../app.ts";

/** What the limit on signing in allows one address in a minute. */
const TRIES = 10;

describe("Behind a reverse proxy", () => {
  let house: House;
  const apps: FastifyInstance[] = [];
  beforeEach(async () => {
    house = await openHouse();
  });
  afterEach(async () => {
    for (const app of apps.splice(0)) await app.close();
    await house.close();
  });

  const served = async (trustedProxies?: TrustedProxies) => {
    const app = await buildApp(house.deps, {
      logLevel: "silent",
      cookieSecret: "a secret for tests only, long",
      ...(trustedProxies === undefined ? {} : { trustedProxies }),
    });
    apps.push(app);
    return app;
  };
  const tries = async (app: FastifyInstance, visitors: readonly string[]) => {
    const codes: number[] = [];
    for (const forwarded of visitors) {
      const { statusCode } = await app.inject({
        method: "GET",
        url: "/enter/none",
        remoteAddress: "10.0.0.2",
        headers: { "x-forwarded-for": forwarded },
      });
      codes.push(statusCode);
    }
    return codes;
  };
  const many = Array.from({ length: TRIES + 1 }, (_, at) => `203.0.113.${at + 1}`);
  const one = many.map(() => "203.0.113.1");

  it("takes nobody's word for an address by default: all from the proxy share its limit", async () => {
    expect((await tries(await served(), many)).at(-1)).toBe(429);
    expect((await tries(await served(false), many)).at(-1)).toBe(429);
  });

  it.each<TrustedProxies>([1, ["10.0.0.2"], ["192.0.2.1", "10.0.0.0/8"]])(
    "limits each visitor by the forwarded address when %j is trusted",
    async (trusted) => {
      expect((await tries(await served(trusted), many)).at(-1)).toBe(404);
      expect((await tries(await served(trusted), one)).at(-1)).toBe(429);
    },
  );

  it("believes no address that a visitor claims beyond the proxies that are trusted", async () => {
    const claimed = many.map((address) => `${address}, 203.0.113.1`);
    expect((await tries(await served(1), claimed)).at(-1)).toBe(429);
    expect((await tries(await served(["192.0.2.1"]), many)).at(-1)).toBe(429);
  });

  it("reads the setting as a number, as addresses, or as none", () => {
    const read = (text: string) => {
      const outcome = readConfig(["--trust-proxy", text], {});
      return outcome.ok ? outcome.config.trustedProxies : outcome.message;
    };
    expect([read(""), read("0"), read("2")]).toEqual([false, false, 2]);
    expect(read("10.0.0.2, fd00::/8")).toEqual(["10.0.0.2", "fd00::/8"]);
    for (const wrong of ["yes", "11", "10.0.0.2/33", "proxy.example.org", "10.0.0.2,"]) {
      expect(read(wrong)).toContain("--trust-proxy (EVENPOUR_TRUST_PROXY): Give how many proxies");
    }
  });
});
