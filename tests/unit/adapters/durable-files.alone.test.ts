// What reaches the disk, and drives without hard links: seen in the calls to the system, since a test cannot cut the
// power.

import {
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { localFiles } from '../../../src/adapters/files/local-files.ts';
import { makeSqliteRecord } from '../../../src/adapters/record/sqlite/make-sqlite-record.ts';
import { Failure } from '../../../src/words/failure.ts';

const system = vi.hoisted(() => ({
  opened: new Map<number, string>(),
  flushed: [] as string[],
  links: true,
  /** Happens when a link is refused: another program is quicker. */
  meanwhile: (_path: string): void => {},
}));

vi.mock('node:fs', async (original) => {
  const fs = await original<typeof import('node:fs')>();
  return {
    ...fs,
    openSync: (...given: Parameters<typeof fs.openSync>) => {
      const handle = fs.openSync(...given);
      system.opened.set(handle, String(given[0]));
      return handle;
    },
    // The last moment before a rename: what was looked at before it may be no longer so.
    renameSync: (...given: Parameters<typeof fs.renameSync>) => {
      if (!system.links) system.meanwhile(String(given[1]));
      fs.renameSync(...given);
    },
    fsyncSync: (handle: number) => {
      system.flushed.push(system.opened.get(handle) ?? '');
      fs.fsyncSync(handle);
    },
    linkSync: (...given: Parameters<typeof fs.linkSync>) => {
      if (!system.links) system.meanwhile(String(given[1]));
      if (!system.links) throw Object.assign(new Error('no links here'), { code: 'EPERM' });
      fs.linkSync(...given);
    },
  };
});

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(realpathSync(tmpdir()), 'slotproof-durable-'));
  system.flushed = [];
  system.links = true;
  system.meanwhile = () => {};
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

test('the folder above each new folder is flushed, and no other', () => {
  localFiles.makeFolder(join(folder, 'kept'));
  expect(system.flushed).toEqual([folder]);
  system.flushed = [];
  localFiles.makeFolder(join(folder, 'kept', 'one', 'two'));
  expect(system.flushed).toEqual([join(folder, 'kept', 'one'), join(folder, 'kept')]);
  system.flushed = [];
  localFiles.makeFolder(join(folder, 'kept', 'one'));
  expect(system.flushed).toEqual([]);
});

test('without hard links a new file is written and flushed, is its user’s alone, and replaces none', () => {
  system.links = false;
  const path = join(folder, 'copy.txt');
  localFiles.writeNew(path, [Buffer.from('first')]);
  expect(readFileSync(path, 'utf8')).toBe('first');
  expect(statSync(path).mode & 0o077).toBe(0);
  expect(system.flushed).toContain(path);
  writeFileSync(join(folder, 'there'), 'old');
  let failure: unknown;
  try {
    localFiles.writeNew(join(folder, 'there'), [Buffer.from('new')]);
  } catch (error) {
    failure = error;
  }
  expect(failure).toBeInstanceOf(Failure);
  expect((failure as Failure).facts.code).toBe('file-exists');
  expect(readFileSync(join(folder, 'there'), 'utf8')).toBe('old');
  expect(readdirSync(folder).sort()).toEqual(['copy.txt', 'there']);
});

test('without hard links a record is made, and never takes the place of one that was made meanwhile', () => {
  system.links = false;
  const path = join(folder, 'record.db');
  makeSqliteRecord(path, 'one');
  expect(readFileSync(path).subarray(0, 15).toString()).toBe('SQLite format 3');
  expect(system.flushed).toContain(path);
  const other = join(folder, 'other.db');
  let calls = 0;
  system.meanwhile = (taken) => {
    // At the link nobody is there yet; right before a rename somebody is.
    if (++calls === 2) writeFileSync(taken, 'the record of another program');
  };
  makeSqliteRecord(other, 'two');
  expect(readFileSync(other).subarray(0, 15).toString()).toBe('SQLite format 3');
  const third = join(folder, 'third.db');
  system.meanwhile = (taken) => writeFileSync(taken, 'the record of another program');
  makeSqliteRecord(third, 'three');
  expect(readFileSync(third, 'utf8')).toBe('the record of another program');
  expect(readdirSync(folder).sort()).toEqual(['other.db', 'record.db', 'third.db']);
});
