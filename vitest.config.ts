import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    globalSetup: ["tests/chromium-setup.ts"],
    testTimeout: 120_000,
    hookTimeout: 120_000,
    // A browser on a busy machine may miss a moment; a fault of ours fails twice.
    retry: process.env.CI ? 1 : 0,
    maxWorkers: 2,
    benchmark: { include: ["tests/bench/**/*.bench.ts"] },
  },
});
