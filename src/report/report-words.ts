// How a report says times, people and digests of photos, the same in all its sections.

import type { Entry } from '../ports/record-store.ts';
import type { Photo } from '../record/entry.ts';
import { formatBytes } from '../words/size.ts';
import { type ReportBlock, tableOf } from './report.ts';

/** `2026-11-24 14:30 (+01:00)`. */
export const time = (iso: string) =>
  `${iso.slice(0, 16).replace('T', ' ')} (${/(?:Z|[+-]\d\d:\d\d)$/.exec(iso)?.[0] ?? ''})`;

export const people = ({ typedBy, doneBy }: Pick<Entry, 'typedBy' | 'doneBy'>) =>
  typedBy === doneBy ? doneBy : `${doneBy}, typed by ${typedBy}`;

export function photoBlocks(photos: readonly Photo[] | undefined): ReportBlock[] {
  if (photos === undefined || photos.length === 0) return [];
  const rows = photos.map(({ name, bytes, sha256 }) => [name, `${formatBytes(bytes)} bytes`, sha256]);
  return [tableOf(['Photo', 'Size', 'SHA-256'], rows)];
}
