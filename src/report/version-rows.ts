// Every version that is on record of a unit, and how each is known: as it was first written, with a remark where that does
// not count any more, and as the correction that counts says instead.

import type { Entry } from '../ports/record-store.ts';
import { type Corrections, correctionOf } from '../record/as-corrected.ts';
import { type KnownEntry, knownEntry } from '../record/entry.ts';
import { people, time } from './report-words.ts';

export const versionColumns = ['When', 'Version', 'How it is known', 'By', 'Entry', 'Remark'] as const;

export function versionRows(entries: readonly Entry[], corrections: Corrections): string[][] {
  const byId = new Map(entries.map((entry) => [entry.id, entry]));
  return entries.flatMap((entry) => {
    const known = knownEntry(entry);
    if (known === undefined) return [];
    if (known.kind !== 'correction') return rowsOf(known, entry.id, remarkOn(entry, corrections));
    const { corrects, kind, body, bodyVersion } = known.body;
    const written = byId.get(corrects.id);
    const counts = written !== undefined && correctionOf(written, corrections)?.id === entry.id;
    if (body === undefined || !counts) return [];
    const stands = knownEntry({ ...entry, kind, kindVersion: bodyVersion ?? 1, body });
    return stands === undefined ? [] : rowsOf(stands, entry.id, `in place of ${corrects.id}`);
  });
}

function remarkOn(entry: Entry, corrections: Corrections): string {
  const correction = correctionOf(entry, corrections);
  if (correction === undefined) return '';
  return correction.body.void === true ? `does not count (${correction.id})` : `corrected (${correction.id})`;
}

function rowsOf(entry: KnownEntry, id: string, remark: string): string[][] {
  const row = (version: string, how: string) => [
    time(entry.claimedAt),
    version,
    how,
    people(entry),
    id,
    remark,
  ];
  if (entry.kind === 'version-seen') {
    const { version, evidence, dated } = entry.body;
    const reported = dated ? 'reported' : 'reported, without a date';
    return [row(version, evidence === 'read' ? 'read from the unit' : reported)];
  }
  if (entry.kind !== 'outcome') return [];
  const { versionBefore, versionRead } = entry.body;
  return [
    ...(versionBefore === undefined ? [] : [row(versionBefore, 'before the visit')]),
    ...(versionRead === undefined ? [] : [row(versionRead, 'read from the unit')]),
  ];
}
