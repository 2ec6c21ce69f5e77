// How old the newest news of manifests is, and whether that is told: withdrawals later than that are not known here.

import type { Finding } from '../words/finding.ts';
import { formatLocalDay } from '../words/local-time.ts';

const oldAfterMs = 7 * 86_400_000;

interface Zone {
  offsetMinutes(atMs: number): number;
}

/** `newsMs` of `manifest-news.ts`; undefined where there are no manifests: others tell that. */
export function checkNewsAge(newsMs: number | undefined, nowMs: number, zone: Zone): Finding[] {
  if (newsMs === undefined || nowMs - newsMs <= oldAfterMs) return [];
  const days = Math.floor((nowMs - newsMs) / 86_400_000);
  return [
    {
      code: 'manifests-old',
      severity: 'warn',
      summary: 'No news of manifests came to this laptop for over seven days.',
      seen: `newest of ${formatLocalDay(newsMs, zone)}, ${days} days old`,
      next: 'Take in newer manifests, or ask the service lead whether the releases still stand.',
    },
  ];
}
