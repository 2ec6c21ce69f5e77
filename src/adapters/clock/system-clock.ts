// The laptop's own clock and time zone.

import type { Clock } from '../../ports/clock.ts';

export const systemClock: Clock = {
  now: () => Date.now(),
  offsetMinutes: (atMs) => -new Date(atMs).getTimezoneOffset(),
  startOfLocalDay(day) {
    const [year = 0, month = 1, date = 1] = day.split('-').map(Number);
    return new Date(year, month - 1, date).getTime();
  },
};
