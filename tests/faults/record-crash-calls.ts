// The writer is ended at its n-th call that writes, n raised until a run survives. After each: opened and checked
// twice; what it said was on the disk is there to the hash, pairs are whole or absent, the chain has no gap, and the
// next writer goes on under the same laptop id.

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect } from 'vitest';
import { bundleForNode } from '../support/bundle-for-node.ts';
import { type WritingCall, writeUntilCall } from '../support/killed-writer.ts';
import { type SqlitePlace, sqlitePlace } from '../support/sqlite-place.ts';

export interface CallLoop {
  readonly calls: readonly WritingCall[];
  readonly pairs: number;
  /** Each run on a record of its own, from nothing; else all on one that grows. */
  readonly fromNothing: boolean;
  /** Every n-th call alone. */
  readonly step: number;
}

/** How many runs were ended, and how many entries the last record holds. */
export async function killAtEachCall({ calls, pairs, fromNothing, step }: CallLoop) {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-killed-'));
  const writer = await bundleForNode('record-writer', folder);
  let place = sqlitePlace();
  let said = new Map<string, string>();
  let killed = 0;
  let entries = 0;
  try {
    for (const call of calls) {
      for (let nth = 1; ; nth += step) {
        expect(nth, `${call} comes to no end`).toBeLessThan(5000);
        if (fromNothing) {
          place.remove();
          place = sqlitePlace();
          said = new Map();
        }
        const run = writeUntilCall(writer, { path: place.path, pairs, name: `${call}${nth}` }, call, nth);
        for (const [id, hash] of run.said) said.set(id, hash);
        for (const again of ['', ' again']) {
          const found = await checked(place, said, `${call} ${nth}${again}: SLOTPROOF_CALL=${call}:${nth}`);
          if (again !== '') expect(found, `${call} ${nth}: the same twice`).toBe(entries);
          entries = found;
        }
        if (run.survived) {
          expect(run.said).toHaveLength(2 * pairs);
          break;
        }
        killed += 1;
      }
    }
    const store = place.open('write');
    expect((await store.marks()).length, 'one laptop id throughout').toBe(1);
    store.close();
    return { killed, entries };
  } finally {
    place.remove();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function checked(
  place: SqlitePlace,
  said: ReadonlyMap<string, string>,
  where: string,
): Promise<number> {
  const store = place.tryOpen('read');
  if (store === undefined) {
    expect(said.size, `${where}: ended before the record was made`).toBe(0);
    return 0;
  }
  try {
    const { entries, findings } = await store.check();
    expect(findings, where).toEqual([]);
    expect(entries % 2, `${where}: half of a pair`).toBe(0);
    for (const [id, hash] of said) expect((await store.entry(id))?.hash, `${where}: ${id}`).toBe(hash);
    return entries;
  } finally {
    store.close();
  }
}
