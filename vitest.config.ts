import { defineConfig } from 'vitest/config';

const inTheBrowser = 'test/browser/**/*.test.{ts,tsx}';

export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  test: {
    testTimeout: 60_000,
    hookTimeout: 120_000,
    teardownTimeout: 10_000,
    pool: 'forks',
    maxWorkers: 2,
    projects: [
      {
        extends: true,
        test: {
          name: 'browser',
          include: [inTheBrowser],
          globalSetup: 'test/browser/page-build.ts',
        },
      },
      {
        extends: true,
        test: { name: 'rest', include: ['test/**/*.test.ts'], exclude: [inTheBrowser] },
      },
    ],
  },
});
