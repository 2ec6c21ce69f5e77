// The record's rules on an office's server, where entries come in by others' hands. The server proves places, hashes and
// columns, but it cannot know what a body may say: one that is not of the form of its kind is kept and counts for
// nothing, like an entry of a kind that is not known, and the check tells it. Packets and syncs refuse such entries
// before they reach a laptop; there the plain rules do.

import type { SealedEntry } from '../ports/record-rules.ts';
import type { Entry } from '../ports/record-store.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { chainCheck } from './check-chain.ts';
import { bodyFault } from './entry-schema.ts';
import { recordRules } from './record-rules.ts';
import { openEntry } from './seal-entry.ts';

/** Higher than any version of a body that is known: nobody takes it for one. */
const notUnderstood = Number.MAX_SAFE_INTEGER;

function openChecked(sealed: SealedEntry): Entry | undefined {
  const entry = openEntry(sealed);
  if (entry === undefined || bodyFault(entry.kind, entry.body) === undefined) return entry;
  return { ...entry, kindVersion: notUnderstood };
}

export const serverRules: typeof recordRules = {
  ...recordRules,
  open: openChecked,
  chainCheck(marks) {
    const check = chainCheck(marks);
    return {
      *look(row) {
        yield* check.look(row);
        const entry = openEntry(row);
        const fault = entry === undefined ? undefined : bodyFault(entry.kind, entry.body);
        if (entry !== undefined && fault !== undefined) yield misformed(entry, fault);
      },
      end: check.end,
    };
  },
};

function misformed({ id, kind }: Entry, fault: string): Finding {
  return {
    code: 'entry-misformed',
    severity: 'warn',
    summary: 'What an entry says is not of the form of its kind: it is kept, and not added up.',
    seen: printable(fault),
    expected: printable(kind, 60),
    where: printable(id),
    next: 'Ask whoever works with that laptop what they used to write it; laptops do not fetch it.',
  };
}
