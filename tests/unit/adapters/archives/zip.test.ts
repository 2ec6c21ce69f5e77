// The zip adapter on archives made by stock tools, and on what damage, malice and bad luck make of them.

import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { zipArchives } from '../../../../src/adapters/archives/zip.ts';
import { laterFailureOf } from '../../../support/failure-of.ts';
import { makeLockedZip, makeZip } from '../../../support/zip-files.ts';

const folder = mkdtempSync(join(tmpdir(), 'slotproof-archive-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let count = 0;
const newPath = () => join(folder, `${++count}.zip`);
const sample = (length: number) => Uint8Array.from({ length }, (_, i) => (i * 31 + (i >>> 7)) & 0xff);

async function readAll(path: string, index = 0): Promise<Uint8Array> {
  const archive = await zipArchives.open(path);
  if (archive === undefined) throw new Error('no archive');
  try {
    const parts: Uint8Array[] = [];
    for await (const chunk of archive.open(archive.members[index]!)) parts.push(Buffer.from(chunk));
    return Buffer.concat(parts);
  } finally {
    archive.close();
  }
}

describe('an archive', () => {
  it.each(['stored', 'deflated'] as const)('with %s members is listed and read', async (method) => {
    const path = newPath();
    makeZip(path, [
      { name: 'a/', bytes: new Uint8Array(0), method: 'stored' },
      { name: 'a/ONE.BIN', bytes: sample(300_000), method },
      { name: 'empty', bytes: new Uint8Array(0), method },
      { name: 'Grün.bin', bytes: sample(3), method },
    ]);
    const archive = await zipArchives.open(path);
    expect(archive?.members).toEqual([
      { name: 'a/ONE.BIN', bytes: 300_000 },
      { name: 'empty', bytes: 0 },
      { name: 'Grün.bin', bytes: 3 },
    ]);
    archive?.close();
    expect(Buffer.compare(await readAll(path), sample(300_000))).toBe(0);
    expect((await readAll(path, 1)).length).toBe(0);
    expect(Buffer.compare(await readAll(path, 2), sample(3))).toBe(0);
  });

  it('of no kind that is known is none', async () => {
    const path = join(folder, 'plain.bin');
    for (const content of ['', 'PK', 'not an archive', 'Rar!\u001a\u0007']) {
      writeFileSync(path, content);
      expect(await zipArchives.open(path)).toBe(undefined);
    }
  });

  it('without members is an archive', async () => {
    const path = newPath();
    makeZip(path, []);
    expect((await zipArchives.open(path))?.members).toEqual([]);
  });

  it('is closed when reading is given up half-way, and can be read again', async () => {
    const path = newPath();
    makeZip(path, [{ name: 'ONE.BIN', bytes: sample(900_000), method: 'stored' }]);
    const archive = (await zipArchives.open(path))!;
    for await (const chunk of archive.open(archive.members[0]!)) {
      expect(chunk.length).toBeGreaterThan(0);
      break;
    }
    let total = 0;
    for await (const chunk of archive.open(archive.members[0]!)) total += chunk.length;
    expect(total).toBe(900_000);
    archive.close();
  });

  it('whose names lead elsewhere is read, and writes nothing anywhere', async () => {
    const path = newPath();
    const names = ['../../../evil.bin', '/etc/evil', 'C:\\evil', '..\\evil', 'a\u0001\u001b[2Jb', '.', '..'];
    makeZip(
      path,
      names.map((name) => ({ name, bytes: sample(5), method: 'stored' })),
    );
    const before = readdirSync(folder);
    const archive = (await zipArchives.open(path))!;
    // Names without the UTF-8 flag are in code page 437, where control characters are signs.
    const stated = names.map((name) => name.replace('\u0001\u001b', '☺←'));
    expect(archive.members.map(({ name }) => name)).toEqual(stated);
    archive.close();
    expect((await readAll(path, 0)).length).toBe(5);
    expect(readdirSync(folder)).toEqual(before);
  });
});

describe('what cannot be read', () => {
  it('a member under a password', async () => {
    writeFileSync(join(folder, 'LOCK.BIN'), sample(1000));
    const path = join(folder, 'locked.zip');
    makeLockedZip(folder, path, ['LOCK.BIN'], 'secret');
    expect(await laterFailureOf(() => readAll(path))).toMatchObject({ code: 'archive-encrypted', exit: 2 });
  });

  it('a member packed in another way', async () => {
    const path = newPath();
    makeZip(path, [{ name: 'B.BIN', bytes: sample(1000), method: 'bzip2' }]);
    expect(await laterFailureOf(() => readAll(path))).toMatchObject({
      code: 'archive-method',
      exit: 2,
      seen: 'method 12',
    });
  });

  it('an archive that was cut short, wherever', async () => {
    const whole = newPath();
    makeZip(whole, [{ name: 'ONE.BIN', bytes: sample(5000) }]);
    const bytes = readFileSync(whole);
    const path = newPath();
    for (const length of [4, 30, 100, bytes.length - 60, bytes.length - 22, bytes.length - 1]) {
      writeFileSync(path, bytes.subarray(0, length));
      expect(await laterFailureOf(() => readAll(path)), `${length} bytes`).toMatchObject({
        code: 'archive-damaged',
        exit: 2,
      });
    }
  });

  it.each(['stored', 'deflated'] as const)('one changed byte in a %s member', async (method) => {
    const path = newPath();
    makeZip(path, [{ name: 'ONE.BIN', bytes: sample(5000), method }]);
    const bytes = readFileSync(path);
    bytes[60]! ^= 0x10;
    writeFileSync(path, bytes);
    expect(await laterFailureOf(() => readAll(path))).toMatchObject({ code: 'archive-damaged' });
  });

  it('a member that holds more than it states, however much', async () => {
    const path = newPath();
    makeZip(path, [{ name: 'BOMB.BIN', bytes: new Uint8Array(20_000_000) }]);
    const bytes = readFileSync(path);
    // APPNOTE 4.3.12: the stated size stands 24 bytes into the central header, which begins with 02014b50.
    const central = bytes.indexOf(Buffer.from([0x50, 0x4b, 0x01, 0x02]));
    bytes.writeUInt32LE(1000, central + 24);
    writeFileSync(path, bytes);
    const archive = (await zipArchives.open(path))!;
    expect(archive.members[0]?.bytes).toBe(1000);
    let total = 0;
    const facts = await laterFailureOf(async () => {
      for await (const chunk of archive.open(archive.members[0]!)) total += chunk.length;
    });
    expect(facts.code).toBe('archive-damaged');
    expect(total).toBeLessThanOrEqual(1000);
    archive.close();
  });

  it('an archive of too many members', async () => {
    const path = newPath();
    makeZip(
      path,
      Array.from({ length: 10_001 }, (_, i) => ({
        name: `${i}`,
        bytes: new Uint8Array(0),
        method: 'stored' as const,
      })),
    );
    expect(await laterFailureOf(() => readAll(path))).toMatchObject({
      code: 'archive-too-many-members',
      exit: 2,
    });
  });

  it('an absent file', async () => {
    expect(await laterFailureOf(() => zipArchives.open(join(folder, 'none.zip')))).toMatchObject({
      code: 'file-absent',
      exit: 2,
    });
  });
});
