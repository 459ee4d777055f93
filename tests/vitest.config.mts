import { defineConfig } from "vitest/config";

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    include: ["tests/**/*.test.ts"],
    exclude: ["**/node_modules/**", "tests/browser/**", "tests/bench/**"],
    setupFiles: ["tests/support/record-published.ts"],
    reporters: ["default", "./tests/support/published-reporter.ts"],
    // the default leaves one of two cores idle
    maxWorkers: 2,
    testTimeout: 60_000,
    hookTimeout: 60_000,
  },
});
