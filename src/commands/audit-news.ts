// What makes an audit less sure than it looks: manifests that are not used since they are not sound, and news
// that is old, so that a withdrawal may not have come here yet.

import type { Catalogue } from '../manifest/catalogue.ts';
import { checkNewsAge } from '../manifest/check-news-age.ts';
import type { Finding } from '../words/finding.ts';
import type { Context } from './context.ts';

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
  findings.push(...checkNewsAge(newsMs, clock.now(), clock));
  return findings;
}

/** `file:line:column` without the place in it. */
function fileOf(where: string | undefined): string {
  return (where ?? '').replace(/(:\d+){1,2}$/, '');
}
