// What makes an audit less sure than it looks: manifests that are not used since they are not sound, and news
// that is old, so that a withdrawal may not have come here yet.

import type { Catalogue } from '../manifest/catalogue.ts';
import type { Finding } from '../words/finding.ts';
import { formatLocalDay } from '../words/local-time.ts';
import type { Context } from './context.ts';

const oldAfterMs = 7 * 86_400_000;

export function checkAuditNews(
  catalogue: Catalogue,
  newsMs: number | undefined,
  { clock }: Pick<Context, 'clock'>,
): Finding[] {
  const findings: Finding[] = [];
  const unsound = new Set(
    catalogue.findings.filter(({ severity }) => severity === 'stop').map(({ where }) => fileOf(where)),
  );
  if (unsound.size > 0)
    findings.push({
      code: 'manifests-unsound',
      severity: 'warn',
      summary: `${unsound.size} manifest${unsound.size === 1 ? ' is' : 's are'} not sound and not used, so this audit may miss a release or a withdrawal.`,
      where: [...unsound].slice(0, 3).join(', '),
      next: 'Run slotproof manifests check and correct what it names.',
    });
  if (newsMs !== undefined && clock.now() - newsMs > oldAfterMs)
    findings.push({
      code: 'manifests-old',
      severity: 'warn',
      summary: 'No news of manifests came to this laptop for over seven days.',
      seen: `newest of ${formatLocalDay(newsMs, clock)}`,
      next: 'Take in newer manifests, or ask the service lead whether the releases still stand.',
    });
  return findings;
}

/** `file:line:column` without the place in it. */
function fileOf(where: string | undefined): string {
  return (where ?? '').replace(/(:\d+){1,2}$/, '');
}
