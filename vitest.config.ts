import { defineConfig } from 'vitest/config';

// Tiers: `default` and `default-alone` are what `npm test` runs; `long` (tests/**/*.long.test.ts) is faults and fuzz at
// length; `card` boots a real kernel with card slots. The files of `default` follow each other in one process, which
// saves a third of the time: loading the same code anew took that. A file that puts something else in the place of a
// module or of what all threads share is called *.alone.test.ts and has a process of its own.
const shared = {
  environment: 'node',
  globalSetup: [
    'tests/support/judges-setup.ts',
    'tests/support/page-setup.ts',
    'tests/support/folders-setup.ts',
  ],
  restoreMocks: true,
  unstubEnvs: true,
  unstubGlobals: true,
};

// A build has a name here too, so a workspace keeps its manifests as last read, as it does with the tool that is shipped.
const define = { SLOTPROOF_BUILD: JSON.stringify('tests') };

const otherTiers = ['tests/**/*.long.test.ts', 'tests/browser/**', 'tests/card/**'];

export default defineConfig({
  test: {
    maxWorkers: '100%',
    reporters: ['default', './tests/support/count-reporter.ts'],
    projects: [
      {
        define,
        test: {
          ...shared,
          name: 'default',
          include: ['tests/**/*.test.ts'],
          exclude: [...otherTiers, 'tests/**/*.alone.test.ts'],
          testTimeout: 30_000,
          isolate: false,
        },
      },
      {
        define,
        test: {
          ...shared,
          name: 'default-alone',
          include: ['tests/**/*.alone.test.ts'],
          exclude: otherTiers,
          testTimeout: 30_000,
        },
      },
      {
        define,
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
        define,
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
