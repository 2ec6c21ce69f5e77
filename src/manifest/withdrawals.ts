// Releases that were withdrawn on record rather than by their manifest, put into the catalogue, so that everybody who
// asks it sees one kind of withdrawal. What the manifest itself says wins. Pure; who reads the record is elsewhere.

import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { type Catalogue, releaseKey } from './catalogue.ts';
import { adviceJudged } from './outdated-advice.ts';
import type { Release } from './schema.ts';

export type Withdrawal = NonNullable<Release['withdrawn']>;

/** Why the withdrawals on record are not known, and what is to be done about it. */
export interface Unread {
  readonly seen: string;
  readonly where?: string;
  readonly next: string;
}

/** What stands against a release that may be withdrawn on record, for all that anybody can tell now. */
export function withdrawalsUnread(release: string, { seen, where, next }: Unread): Omit<Finding, 'severity'> {
  return {
    code: 'withdrawals-unread',
    summary: `Whether ${release} was withdrawn cannot be told: the record cannot be read.`,
    seen: printable(seen, 300),
    expected: 'a record in which withdrawals can be looked up',
    ...(where === undefined ? {} : { where: printable(where, 1000) }),
    next: printable(next, 300),
  };
}

/** `withdrawals`: by `product@version`; those of releases that nobody knows do no harm. */
export function withWithdrawals(
  catalogue: Catalogue,
  withdrawals: ReadonlyMap<string, Withdrawal> | Unread,
): Catalogue {
  if (!('size' in withdrawals)) return { ...catalogue, withdrawalsUnread: withdrawals };
  const releases = catalogue.releases.map((release) => {
    const withdrawn = withdrawals.get(releaseKey(release));
    return release.withdrawn !== undefined || withdrawn === undefined ? release : { ...release, withdrawn };
  });
  const judged = adviceJudged(releases);
  return { ...catalogue, releases: judged };
}
