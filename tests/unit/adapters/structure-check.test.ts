// A long record's file is looked at on a second thread: what it says must be what the first would have said.
import { spawnSync } from 'node:child_process';
import { closeSync, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { startStructureCheck } from '../../../src/adapters/record/sqlite/structure-check.ts';
import { temporaryFolder } from '../../support/card-images.ts';

const few = 1;
const many = 1_000_000;

function fileOf(damage: (path: string) => void): string {
  const path = join(temporaryFolder(), 'record.db');
  const script = `CREATE TABLE t (a INTEGER, b TEXT); CREATE INDEX t_by_a ON t (a);
    WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 3000)
    INSERT INTO t SELECT i, printf('%0100d', i) FROM n;`;
  expect(spawnSync('sqlite3', [path, script]).status).toBe(0);
  damage(path);
  return path;
}

async function faultsOf(path: string, entries: number): Promise<readonly string[]> {
  const database = new Database(path);
  try {
    return await startStructureCheck(database, { path, entries })();
  } finally {
    database.close();
  }
}

/** Bytes of one page of the index overwritten. */
function spoil(path: string): void {
  const file = openSync(path, 'r+');
  writeSync(file, Buffer.alloc(64, 0xee), 0, 64, 4096 * 20);
  closeSync(file);
}

test('a file that is whole, on either thread', async () => {
  const path = fileOf(() => {});
  expect(await faultsOf(path, few)).toEqual([]);
  expect(await faultsOf(path, many)).toEqual([]);
});

test('damage is told in the same words, on either thread', async () => {
  const path = fileOf(spoil);
  const here = await faultsOf(path, few);
  expect(here.length).toBeGreaterThan(0);
  expect(await faultsOf(path, many)).toEqual(here);
});

test('where the second thread cannot open the file, the first looks by itself', async () => {
  const database = new Database(fileOf(spoil));
  const path = join(temporaryFolder(), 'not-there.db');
  expect((await startStructureCheck(database, { path, entries: many })()).length).toBeGreaterThan(0);
  database.close();
});
