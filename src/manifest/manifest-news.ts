// When news of manifests last came to this laptop: the newest time at which one of the files that are used was
// written here. Withdrawals later than that are not known, which sheets and audits say. It cannot tell whether
// somebody looked since and found nothing new.

import type { Files } from '../ports/files.ts';
import type { Catalogue } from './catalogue.ts';

/** Milliseconds UTC, never in the future; undefined where there are no manifests. */
export function manifestNewsMs(
  catalogue: Pick<Catalogue, 'sources'>,
  files: Pick<Files, 'facts'>,
  nowMs: number,
): number | undefined {
  let newest: number | undefined;
  for (const path of new Set(catalogue.sources.values())) {
    const modifiedMs = files.facts(path)?.modifiedMs;
    if (modifiedMs === undefined) continue;
    const known = Math.min(modifiedMs, nowMs);
    if (newest === undefined || known > newest) newest = known;
  }
  return newest;
}
