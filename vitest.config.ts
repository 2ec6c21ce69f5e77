import { defineConfig } from 'vitest/config';

// Two tiers: `default` is what `npm test` runs; `long` (tests/**/*.long.test.ts) is faults and fuzz at length.
const shared = {
  environment: 'node',
  globalSetup: ['tests/support/judges-setup.ts', 'tests/support/page-setup.ts'],
};

export default defineConfig({
  test: {
    maxWorkers: '100%',
    reporters: ['default', './tests/support/count-reporter.ts'],
    projects: [
      {
        test: {
          ...shared,
          name: 'default',
          include: ['tests/**/*.test.ts'],
          exclude: ['tests/**/*.long.test.ts', 'tests/browser/**'],
          testTimeout: 30_000,
        },
      },
      {
        test: {
          ...shared,
          globalSetup: [...shared.globalSetup, 'tests/support/browser-setup.ts'],
          name: 'long',
          include: ['tests/**/*.long.test.ts'],
          testTimeout: 900_000,
        },
      },
    ],
  },
});
