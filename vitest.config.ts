import { defineConfig } from 'vitest/config';

// Tiers: `default` is what `npm test` runs; `long` (tests/**/*.long.test.ts) is faults and fuzz at length; `card` boots a
// real kernel with card slots.
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
          exclude: ['tests/**/*.long.test.ts', 'tests/browser/**', 'tests/card/**'],
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
          // A server is made and started in one.
          hookTimeout: 120_000,
        },
      },
      {
        test: {
          ...shared,
          name: 'card',
          include: ['tests/card/**/*.card.test.ts'],
          testTimeout: 60_000,
        },
      },
    ],
  },
});
