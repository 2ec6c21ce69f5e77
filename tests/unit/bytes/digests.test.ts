// Digests against stock tools, node:zlib, crypto-js and the published check values.

import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { crc32 as zlibCrc32 } from 'node:zlib';
import CryptoJs from 'crypto-js';
import { describe, expect, it } from 'vitest';
import { crc32 } from '../../../src/bytes/crc32.ts';
import {
  type DigestKind,
  digestHexLength,
  digestKinds,
  digestsOf,
  startDigests,
} from '../../../src/bytes/digests.ts';

const ascii = (text: string) => new TextEncoder().encode(text);

function byTool(kind: DigestKind, bytes: Uint8Array): string {
  if (kind === 'crc32') return zlibCrc32(bytes).toString(16).padStart(8, '0');
  return execFileSync(`${kind}sum`, { input: bytes }).toString().split(' ')[0]!;
}

/** As OpenSSL does where md5 is not approved. */
const hardened = (kind: string) => {
  if (kind === 'md5') throw new Error('error:0308010C:digital envelope routines::unsupported');
  return createHash(kind);
};

const lengths = [0, 1, 7, 8, 9, 55, 56, 63, 64, 65, 4095, 4096, 4097, 100_003];
const sample = (length: number) =>
  Uint8Array.from({ length }, (_, i) => (i * 167 + (i >>> 8) * 31 + 5) & 0xff);

describe('digests in one pass', () => {
  it.each(lengths)('of %d bytes are those of the stock tools', async (length) => {
    const bytes = sample(length);
    const digests = await digestsOf(bytes, digestKinds);
    for (const kind of digestKinds) {
      expect(digests[kind], kind).toBe(byTool(kind, bytes));
      expect(digests[kind]).toHaveLength(digestHexLength[kind]);
    }
  });

  it('are those that are asked for, in a fixed order, however often one is named', async () => {
    expect(Object.keys(await digestsOf(sample(9), ['sha256', 'crc32', 'sha256']))).toEqual([
      'crc32',
      'sha256',
    ]);
    expect(await digestsOf(sample(9), [])).toEqual({});
  });

  it('agree with the check values of the standards', async () => {
    // CRC-32/ISO-HDLC check value; FIPS 180-4 and RFC 1321 examples.
    expect(crc32(ascii('123456789'))).toBe(0xcbf43926);
    expect(await digestsOf(ascii('abc'), ['md5', 'sha1', 'sha224'])).toEqual({
      md5: '900150983cd24fb0d6963f7d28e17f72',
      sha1: 'a9993e364706816aba3e25717850c26c9cd0d89d',
      sha224: '23097d223405d8228642a477bda255b32aadbce4bda0b3f7e36c9da7',
    });
  });

  it('do not hold on to the memory of a chunk', async () => {
    const run = await startDigests(digestKinds);
    const chunk = sample(1000);
    run.update(chunk);
    chunk.fill(0);
    expect(run.finish()).toEqual(await digestsOf(sample(1000), digestKinds));
  });

  it('show one changed bit', async () => {
    const bytes = sample(4096);
    const before = await digestsOf(bytes, digestKinds);
    bytes[4095]! ^= 0x80;
    const after = await digestsOf(bytes, digestKinds);
    for (const kind of digestKinds) expect(after[kind]).not.toBe(before[kind]);
  });
});

describe('on a laptop whose OpenSSL refuses md5', () => {
  it.each(lengths)('md5 of %d bytes is right all the same', async (length) => {
    const bytes = sample(length);
    const run = await startDigests(['md5', 'sha256'], { makeHash: hardened });
    for (let at = 0; at < length; at += 777) run.update(bytes.subarray(at, at + 777));
    expect(run.finish()).toEqual({ md5: byTool('md5', bytes), sha256: byTool('sha256', bytes) });
  });

  it('every other kind could be stood in for as well', async () => {
    const run = await startDigests(digestKinds, {
      makeHash: () => {
        throw new Error('refused');
      },
    });
    run.update(sample(70));
    expect(run.finish()).toEqual(await digestsOf(sample(70), digestKinds));
  });
});

describe('a second opinion', () => {
  it('crypto-js says the same', async () => {
    const bytes = sample(5000);
    const words = CryptoJs.lib.WordArray.create(bytes as unknown as number[]);
    expect((await digestsOf(bytes, ['sha256'])).sha256).toBe(CryptoJs.SHA256(words).toString());
    expect((await digestsOf(bytes, ['sha512'])).sha512).toBe(CryptoJs.SHA512(words).toString());
    bytes[0]! ^= 1;
    expect((await digestsOf(bytes, ['sha256'])).sha256).not.toBe(CryptoJs.SHA256(words).toString());
  });
});
