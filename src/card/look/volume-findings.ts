// What can be wrong with a volume of either kind, as findings: its flags, the copy of its boot sector, space that nobody
// has. Reads nothing.

import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { finding } from '../check/finding-codes.ts';

/** Where a flag was found set against the volume. */
export interface FlagPlaces {
  readonly fat: boolean;
  readonly boot: boolean;
}

export function backupDiffers(where: string): Finding {
  return finding('backup-boot-differs', {
    summary: 'The copy of the boot sector differs from the boot sector.',
    where,
    next: 'Nothing for one visit; lay the card out anew with prepare --fresh when there is time.',
  });
}

export function flagFindings(dirty: FlagPlaces, error: FlagPlaces): Finding[] {
  const findings: Finding[] = [];
  const place = (where: FlagPlaces): string =>
    where.fat && where.boot
      ? 'set in the file allocation table and in the boot sector'
      : where.fat
        ? 'set in the file allocation table'
        : 'set in the boot sector';
  if (dirty.fat || dirty.boot) {
    findings.push(
      finding('volume-dirty', {
        summary: 'The card was pulled out without being ejected: its dirty bit is set.',
        seen: place(dirty),
        next: 'Run prepare, which checks the card and clears it.',
      }),
    );
  }
  if (error.fat || error.boot) {
    findings.push(
      finding('volume-error-flag', {
        summary: 'A system that used this card had read or write errors on it.',
        seen: `the error bit is ${place(error)}`,
        next: 'Take another card. This one may fail again, also after prepare with --fresh.',
      }),
    );
  }
  return findings;
}

export function lostClusters(count: number): Finding {
  return finding('lost-clusters', {
    summary: 'Space on the card is taken, but by no file.',
    seen: `${formatBytes(count)} clusters`,
    next: 'Nothing for one visit; prepare with --fresh gives the space back.',
  });
}
