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
import { Failure } from '../../../src/words/failure.ts';

const system = vi.hoisted(() => ({
  opened: new Map<number, string>(),
  flushed: [] as string[],
  links: true,
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
    fsyncSync: (handle: number) => {
      system.flushed.push(system.opened.get(handle) ?? '');
      fs.fsyncSync(handle);
    },
    linkSync: (...given: Parameters<typeof fs.linkSync>) => {
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
