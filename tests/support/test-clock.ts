// The clock of every test that calls the command line in its own process: it runs, but from one day on that never
// changes, so that the releases of the demonstration are out and no test depends on the day it is run on.

import { systemClock } from '../../src/adapters/clock/system-clock.ts';
import type { Clock } from '../../src/ports/clock.ts';

const startedAtMs = Date.now();
const testDayMs = Date.UTC(2026, 10, 24, 12);

export const testClock: Clock = {
  ...systemClock,
  now: () => testDayMs + (Date.now() - startedAtMs),
};
