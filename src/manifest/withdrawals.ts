// Releases that were withdrawn on record rather than by their manifest, put into the catalogue, so that everybody who
// asks it sees one kind of withdrawal. What the manifest itself says wins. Pure; who reads the record is elsewhere.

import { type Catalogue, releaseKey } from './catalogue.ts';
import type { Release } from './schema.ts';

export type Withdrawal = NonNullable<Release['withdrawn']>;

/** `withdrawals`: by `product@version`; those of releases that nobody knows do no harm. */
export function withWithdrawals(
  catalogue: Catalogue,
  withdrawals: ReadonlyMap<string, Withdrawal>,
): Catalogue {
  if (withdrawals.size === 0) return catalogue;
  const releases = catalogue.releases.map((release) => {
    const withdrawn = withdrawals.get(releaseKey(release));
    return release.withdrawn !== undefined || withdrawn === undefined ? release : { ...release, withdrawn };
  });
  return { ...catalogue, releases };
}
