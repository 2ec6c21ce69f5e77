// Where prepare takes its bytes from: the image itself, or a zip that holds it; verified before, and while it is read.

import { createHash } from 'node:crypto';
import { mkdtempSync, renameSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { zipArchives } from '../../../src/adapters/archives/zip.ts';
import { localFiles } from '../../../src/adapters/files/local-files.ts';
import { requireRelease } from '../../../src/manifest/catalogue.ts';
import { demoDownload, demoImage } from '../../../src/manifest/demo-firmware.ts';
import type { Files } from '../../../src/ports/files.ts';
import { type ImageSource, openImageSource } from '../../../src/transfer/image-source.ts';
import { measureDownload } from '../../../src/transfer/measure-download.ts';
import type { RememberedDownload } from '../../../src/transfer/remembered-download.ts';
import { Failure } from '../../../src/words/failure.ts';
import { demoCatalogue } from '../../support/demo-world.ts';
import { makeLockedZip, makeZip } from '../../support/zip-files.ts';

const folder = mkdtempSync(join(tmpdir(), 'slotproof-source-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const ports = { files: localFiles, archives: async () => zipArchives };
const catalogue = demoCatalogue();
const hearth = requireRelease(catalogue, 'hearth-90@2.6.0');
const withdrawn = requireRelease(catalogue, 'hearth-90@2.5.3');
const image = demoImage(hearth);

function put(name: string, bytes: Uint8Array | string): string {
  const path = join(folder, name);
  writeFileSync(path, bytes);
  return path;
}

async function drained(source: ImageSource): Promise<Buffer> {
  const parts: Buffer[] = [];
  for await (const chunk of source.chunks()) parts.push(Buffer.from(chunk));
  return Buffer.concat(parts);
}

async function codeOf(act: () => Promise<unknown>): Promise<string> {
  try {
    await act();
  } catch (error) {
    if (error instanceof Failure) return `${error.facts.exit} ${error.facts.code}`;
    throw error;
  }
  throw new Error('no failure');
}

describe('the bytes of the image', () => {
  it.each([
    ['from the image itself', () => put('HEARTH.TFW', image), undefined],
    ['from the image under another name', () => put('x.bin', image), undefined],
    [
      "from the maker's download",
      () => put('hearth-90-2.6.0.zip', demoDownload(hearth).bytes),
      'hearth-90/HEARTH.TFW',
    ],
    [
      'from a zip that somebody made',
      () => {
        const path = join(folder, 'mine.zip');
        makeZip(path, [
          { name: 'notes.txt', bytes: Buffer.from('x') },
          { name: 'deep/er/whatever.bin', bytes: image },
        ]);
        return path;
      },
      'deep/er/whatever.bin',
    ],
  ] as const)('%s', async (_, make, member) => {
    const path = make();
    const source = await openImageSource(ports, path, hearth);
    expect(source).toMatchObject({ path, bytes: image.length, sha256: hearth.image.digests.sha256 });
    expect(source.member).toBe(member);
    expect(Buffer.compare(await drained(source), image)).toBe(0);
    // And once more: it is opened anew each time.
    expect((await drained(source)).length).toBe(image.length);
  });

  it('of a withdrawn release are given too: whether to use them is asked elsewhere', async () => {
    const source = await openImageSource(ports, put('OLD.TFW', demoImage(withdrawn)), withdrawn);
    expect(source.sha256).toBe(withdrawn.image.digests.sha256);
  });

  it('have a sha256 even where the manifest states another kind', async () => {
    const kerb = requireRelease(catalogue, 'kerb-22@118');
    expect(Object.keys(kerb.image.digests)).toEqual(['sha384']);
    const source = await openImageSource(ports, put('KERB22.DAT', demoImage(kerb)), kerb);
    expect(source.sha256).toBe(createHash('sha256').update(demoImage(kerb)).digest('hex'));
  });
});

describe('a file that is not the image', () => {
  it.each([
    ['another release', () => demoImage(requireRelease(catalogue, 'hearth-90@2.5.0')), '3 truncated'],
    ['one byte short', () => image.subarray(1), '3 truncated'],
    ['one byte longer', () => Buffer.concat([image, Buffer.from([0])]), '3 too-long'],
    ['one bit changed', () => Buffer.from(image).fill(image[9]! ^ 1, 9, 10), '3 digest-mismatch'],
    ['a web page', () => Buffer.from('<!DOCTYPE html><title>Log in</title>'), '3 web-page'],
    ['nothing', () => new Uint8Array(0), '3 truncated'],
  ])('%s', async (_, bytes, code) => {
    expect(await codeOf(() => openImageSource(ports, put('HEARTH.TFW', bytes()), hearth))).toBe(code);
  });

  it('of quite another name and size', async () => {
    expect(await codeOf(() => openImageSource(ports, put('notes.txt', 'x'), hearth))).toBe(
      '3 digest-mismatch',
    );
  });

  it('a folder, or nothing at all', async () => {
    expect(await codeOf(() => openImageSource(ports, folder, hearth))).toBe('2 folder-not-file');
    expect(await codeOf(() => openImageSource(ports, join(folder, 'none'), hearth))).toBe('2 file-absent');
  });

  it('a zip under a password, or that holds something else', async () => {
    put('LOCKED.TFW', image);
    const locked = join(folder, 'locked.zip');
    makeLockedZip(folder, locked, ['LOCKED.TFW'], 'secret');
    expect(await codeOf(() => openImageSource(ports, locked, hearth))).toBe('3 digest-mismatch');
    const other = join(folder, 'other.zip');
    makeZip(other, [{ name: 'HEARTH.TFW', bytes: image.subarray(5) }]);
    expect(await codeOf(() => openImageSource(ports, other, hearth))).toBe('3 truncated');
  });
});

describe('a file that changes after it was verified', () => {
  it('ends in a failure, the image itself', async () => {
    const path = put('CHANGES.TFW', image);
    const source = await openImageSource(ports, path, hearth);
    const changed = Buffer.from(image);
    changed[changed.length - 1]! ^= 1;
    writeFileSync(path, changed);
    expect(await codeOf(() => drained(source))).toBe('3 digest-mismatch');
  });

  it('ends in a failure, an archive', async () => {
    const path = join(folder, 'changes.zip');
    makeZip(path, [{ name: 'H.TFW', bytes: image, method: 'stored' }]);
    const source = await openImageSource(ports, path, hearth);
    const changed = Buffer.from(image);
    changed[5]! ^= 1;
    makeZip(path, [{ name: 'H.TFW', bytes: changed, method: 'stored' }]);
    expect(await codeOf(() => drained(source))).toBe('3 digest-mismatch');
    rmSync(path);
    expect(await codeOf(() => drained(source))).toBe('2 file-absent');
    writeFileSync(path, 'no archive');
    expect(await codeOf(() => drained(source))).toBe('3 digest-mismatch');
  });
});

describe('a download that was verified earlier', () => {
  const path = () => put('VERIFIED.TFW', image);

  function counting() {
    let read = 0;
    const files: Files = {
      ...localFiles,
      chunks(wanted) {
        read += 1;
        return localFiles.chunks(wanted);
      },
    };
    return { ports: { ...ports, files }, reads: () => read };
  }

  async function verified(at: string) {
    const { bytes, digests, stamp } = await measureDownload(ports, at, [hearth]);
    return {
      path: at,
      bytes,
      digests,
      as: 'image',
      at: '2026-11-24T20:00:00.000Z',
      ...(stamp && { stamp }),
    } as const;
  }

  it('is not read once more before it is used, as long as its stamp is the same', async () => {
    const at = path();
    const { ports: counted, reads } = counting();
    const source = await openImageSource(counted, at, hearth, undefined, await verified(at));
    expect(reads()).toBe(0);
    expect(source).toMatchObject({ path: at, bytes: image.length, sha256: hearth.image.digests.sha256 });
    expect(Buffer.compare(await drained(source), image)).toBe(0);
  });

  it('is read where it was written to since, though its length and its time say nothing', async () => {
    const at = path();
    const note = await verified(at);
    const { atime, mtime } = statSync(at);
    const other = Buffer.from(image);
    other[100]! ^= 1;
    writeFileSync(at, other);
    utimesSync(at, atime, mtime);
    expect(await codeOf(() => openImageSource(ports, at, hearth, undefined, note))).toBe('3 digest-mismatch');
  });

  it('is read where another file took its place', async () => {
    const at = path();
    const note = await verified(at);
    renameSync(put('OTHER.TFW', 'x'.repeat(image.length)), at);
    expect(await codeOf(() => openImageSource(ports, at, hearth, undefined, note))).toBe('3 digest-mismatch');
  });

  it.each<[string, (note: RememberedDownload) => RememberedDownload]>([
    ['the note has no stamp', ({ stamp: _, ...note }) => note],
    ['the note speaks of the archive', (note) => ({ ...note, as: 'download' })],
    ['the manifest has other digests now', (note) => ({ ...note, digests: { sha256: 'ab'.repeat(32) } })],
    ['the manifest has another size now', (note) => ({ ...note, bytes: note.bytes + 1 })],
    ['no digest is noted', (note) => ({ ...note, digests: {} })],
  ])('is read where %s', async (_, change) => {
    const at = path();
    const { ports: counted, reads } = counting();
    await openImageSource(counted, at, hearth, undefined, change(await verified(at)));
    expect(reads()).toBe(1);
  });

  it('is given up where it changes while it is used', async () => {
    const at = path();
    const source = await openImageSource(ports, at, hearth, undefined, await verified(at));
    source.requireUnchanged();
    writeFileSync(at, 'x');
    expect(await codeOf(async () => source.requireUnchanged())).toBe('3 digest-mismatch');
  });
});
