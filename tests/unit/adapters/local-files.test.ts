import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { localFiles } from '../../../src/adapters/files/local-files.ts';
import { failureOf } from '../../support/failure-of.ts';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'slotproof-files-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const at = (name: string) => join(folder, name);

describe('writing', () => {
  test('is whole, belongs to the user alone, and leaves nothing beside it', () => {
    localFiles.write(at('a.txt'), 'first');
    localFiles.write(at('a.txt'), 'second');
    expect(readFileSync(at('a.txt'), 'utf8')).toBe('second');
    expect(statSync(at('a.txt')).mode & 0o777).toBe(0o600);
    expect(readdirSync(folder)).toEqual(['a.txt']);
  });

  test('a new file replaces none', () => {
    writeFileSync(at('there'), 'old');
    expect(failureOf(() => localFiles.writeNew(at('there'), [Buffer.from('new')]))).toMatchObject({
      code: 'file-exists',
      exit: 2,
    });
    expect(readFileSync(at('there'), 'utf8')).toBe('old');
    expect(readdirSync(folder)).toEqual(['there']);
  });

  test('what breaks off half way leaves no file', () => {
    function* breaking(): Iterable<Uint8Array> {
      yield Buffer.from('half');
      throw Object.assign(new Error('gone'), { code: 'EIO' });
    }
    expect(failureOf(() => localFiles.writeNew(at('b'), breaking()))).toMatchObject({ exit: 6 });
    expect(readdirSync(folder)).toEqual([]);
  });

  test('into a folder that is not there says so, and names it', () => {
    writeFileSync(at('file'), 'x');
    for (const [folder, path] of [
      [at('none'), at('none/new')],
      [at('file'), at('file/new')],
    ] as const) {
      for (const write of [localFiles.write, (to: string) => localFiles.writeNew(to, [])]) {
        expect(failureOf(() => write(path, ''))).toMatchObject({
          code: 'file-absent',
          exit: 2,
          summary: `The folder ${folder} does not exist.`,
          where: path,
          next: 'Make it, or give another folder.',
        });
      }
    }
  });

  test('a folder is made for its user alone', () => {
    localFiles.makeFolder(at('x/y'));
    expect(statSync(at('x/y')).mode & 0o777).toBe(0o700);
  });
});

describe('reading', () => {
  test('refuses what is too large, absent, a folder or a device', () => {
    writeFileSync(at('big'), Buffer.alloc(100));
    expect(failureOf(() => localFiles.readBytes(at('big'), 99))).toMatchObject({
      code: 'too-large',
      exit: 2,
    });
    expect(localFiles.readBytes(at('big'), 100)).toHaveLength(100);
    expect(failureOf(() => localFiles.readText(at('none'), 9))).toMatchObject({
      code: 'file-absent',
      exit: 2,
    });
    mkdirSync(at('dir'));
    expect(failureOf(() => localFiles.readText(at('dir'), 9))).toMatchObject({
      code: 'folder-not-file',
      exit: 2,
    });
    expect(failureOf(() => [...localFiles.chunks('/dev/zero')])).toMatchObject({
      code: 'not-a-file',
      exit: 2,
    });
    symlinkSync('loop', at('loop'));
    expect(failureOf(() => [...localFiles.chunks(at('loop'))])).toMatchObject({ exit: 2 });
  });

  test('chunks are the whole file in order', () => {
    const content = Buffer.alloc(2_500_000, 'abcdefg');
    writeFileSync(at('c'), content);
    const parts = [...localFiles.chunks(at('c'))].map((part) => part.length);
    expect(parts).toEqual([1_048_576, 1_048_576, 402_848]);
    const joined = Buffer.concat([...localFiles.chunks(at('c'))].map((part) => Buffer.from(part)));
    expect(joined.length).toBe(content.length);
  });

  test('facts and lists tell absent from present', () => {
    expect(localFiles.facts(at('none'))).toBeUndefined();
    expect(localFiles.facts(at('none/deeper'))).toBeUndefined();
    expect(localFiles.list(at('none'))).toEqual([]);
    writeFileSync(at('b'), '12');
    mkdirSync(at('a'));
    expect(localFiles.list(folder)).toEqual([
      { name: 'a', kind: 'folder' },
      { name: 'b', kind: 'file' },
    ]);
    expect(localFiles.facts(at('b'))).toMatchObject({ kind: 'file', sizeBytes: 2 });
  });
});
