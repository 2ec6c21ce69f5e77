// The entries of a workspace, read with the stock sqlite3 program: a judge of what the commands write that shares
// no code with them. Every body must be of its published form.

import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { expect } from 'vitest';
import { bodyFault } from '../../src/record/entry-schema.ts';

export interface RecordRow {
  readonly kind: string;
  readonly seq: number;
  readonly prev: string;
  readonly claimedAt: string;
  readonly writtenAt: string;
  readonly typedBy: string;
  readonly doneBy: string;
  readonly body: Record<string, any>;
  readonly text: string;
  readonly hash: string;
}

export function recordRows(record: string): RecordRow[] {
  if (!existsSync(record)) return [];
  const said = spawnSync(
    'sqlite3',
    ['-readonly', '-json', record, 'SELECT text, hash FROM entries ORDER BY seq'],
    {
      encoding: 'utf8',
      maxBuffer: 1e9,
    },
  );
  if (said.status !== 0) throw new Error(said.stderr);
  const rows = (said.stdout.trim() === '' ? [] : JSON.parse(said.stdout)) as { text: string; hash: string }[];
  return rows.map(({ text, hash }) => {
    const row = { ...JSON.parse(text), text, hash } as RecordRow;
    expect(bodyFault(row.kind, row.body), text).toBeUndefined();
    return row;
  });
}
