// Which release a download is meant to be, and whether it is: the decision alone, on measurements made up here.

import { describe, expect, it } from 'vitest';
import type { DigestKind, Digests } from '../../../src/bytes/digests.ts';
import {
  digestKindsWanted,
  identifyDownload,
  type MeasuredFile,
  memberDigestKindsWanted,
} from '../../../src/manifest/identify-download.ts';
import type { Release } from '../../../src/manifest/schema.ts';

const hex = (kind: DigestKind, seed: string) => {
  const length = { crc32: 8, md5: 32, sha1: 40, sha224: 56, sha256: 64, sha384: 96, sha512: 128 }[kind];
  return seed.repeat(length).slice(0, length);
};
const sha = (seed: string): Digests => ({ sha256: hex('sha256', seed) });

interface Made {
  readonly product?: string;
  readonly version: string;
  readonly sequence: number;
  readonly seed: string;
  readonly bytes?: number;
  readonly name?: string;
  readonly digests?: Digests;
  readonly withdrawn?: boolean;
  readonly download?: { name: string; bytes: number; digests: Digests; member?: string };
}

function release(made: Made): Release {
  return {
    manifest: 'release',
    format: 1,
    product: made.product ?? 'pond-3',
    version: made.version,
    sequence: made.sequence,
    issued: '2026-10-01',
    priority: 'required',
    hardware: ['A'],
    from: { kind: 'any' },
    image: {
      name: made.name ?? 'POND3.BIN',
      folder: '',
      bytes: made.bytes ?? 1000,
      digests: made.digests ?? sha(made.seed),
    },
    resets: [],
    ...(made.download && { download: made.download }),
    ...(made.withdrawn && { withdrawn: { on: '2026-11-02', why: 'It does not start again' } }),
  };
}

function file(path: string, bytes: number, digests: Digests, more: Partial<MeasuredFile> = {}): MeasuredFile {
  return { path, bytes, digests, head: new Uint8Array(bytes > 0 ? 16 : 0).fill(7), ...more };
}

const old = release({ version: '1', sequence: 1, seed: 'a', bytes: 900 });
const newer = release({
  version: '2',
  sequence: 2,
  seed: 'b',
  download: { name: 'pond3-2.zip', bytes: 600, digests: sha('c'), member: 'x/POND3.BIN' },
});
const pulled = release({ version: '3', sequence: 3, seed: 'd', bytes: 1100, withdrawn: true });
const all = [old, newer, pulled];

function told(measured: MeasuredFile, releases: readonly Release[] = all) {
  const { verdict, release: meant, as, findings } = identifyDownload(measured, releases);
  return [verdict, meant?.version, as, ...findings.map(({ severity, code }) => `${severity} ${code}`)];
}

describe('whose digests agree', () => {
  it('is meant, whatever its name', () => {
    expect(told(file('/d/POND3.BIN', 1000, sha('b')))).toEqual(['matches', '2', 'image']);
    expect(told(file('/d/POND3.BIN', 900, sha('a')))).toEqual(['matches', '1', 'image']);
    expect(told(file('/d/odd.bin', 1000, sha('b')))).toEqual(['matches', '2', 'image', 'warn renamed']);
    expect(told(file('/d/POND3 (1).BIN', 1000, sha('b')))).toEqual(['matches', '2', 'image', 'warn renamed']);
    expect(told(file('/d/pond3.bin', 1000, sha('b')))).toEqual(['matches', '2', 'image', 'warn renamed']);
  });

  it('is not meant where one of several digests differs', () => {
    const two = release({
      version: '4',
      sequence: 4,
      seed: 'e',
      digests: { ...sha('e'), md5: hex('md5', 'f') },
    });
    expect(told(file('/d/POND3.BIN', 1000, { ...sha('e'), md5: hex('md5', 'f') }), [two])).toEqual([
      'matches',
      '4',
      'image',
    ]);
    expect(told(file('/d/POND3.BIN', 1000, { ...sha('e'), md5: hex('md5', '0') }), [two])).toEqual([
      'differs',
      '4',
      'image',
      'stop digest-mismatch',
    ]);
  });

  it('and that is withdrawn: differs, and nothing else stops', () => {
    expect(told(file('/d/POND3.BIN', 1100, sha('d')))).toEqual(['differs', '3', 'image', 'stop withdrawn']);
    expect(told(file('/d/x.bin', 1100, sha('d')))).toEqual([
      'differs',
      '3',
      'image',
      'warn renamed',
      'stop withdrawn',
    ]);
  });

  it('of several, one that is not withdrawn wins', () => {
    const again = release({ version: '3.1', sequence: 1, seed: 'd', bytes: 1100 });
    expect(told(file('/d/POND3.BIN', 1100, sha('d')), [pulled, again])).toEqual(['matches', '3.1', 'image']);
    expect(told(file('/d/POND3.BIN', 1100, sha('d')), [again, pulled])).toEqual(['matches', '3.1', 'image']);
  });

  it('of several that stand, the one with the right name, then the newest', () => {
    const twin = release({ product: 'pond-4', version: '9', sequence: 9, seed: 'b', name: 'POND4.BIN' });
    expect(told(file('/d/POND3.BIN', 1000, sha('b')), [twin, newer])).toEqual(['matches', '2', 'image']);
    expect(told(file('/d/POND4.BIN', 1000, sha('b')), [twin, newer])).toEqual(['matches', '9', 'image']);
    expect(told(file('/d/x', 1000, sha('b')), [newer, twin])).toEqual([
      'matches',
      '9',
      'image',
      'warn renamed',
    ]);
  });

  it('but another size than stated is told all the same', () => {
    expect(told(file('/d/POND3.BIN', 1001, sha('b')), [newer])).toEqual([
      'differs',
      '2',
      'image',
      'stop too-long',
    ]);
  });
});

describe('whose name agrees', () => {
  it.each([
    ['/d/POND3.BIN', 400, 'truncated'],
    ['/d/POND3.BIN', 0, 'truncated'],
    ['/d/POND3.BIN', 1001, 'too-long'],
    ['/d/POND3.BIN', 1000, 'digest-mismatch'],
    ['/d/pond3 (2).bin.part', 400, 'truncated'],
  ])('%s with %d bytes is measured against the newest that stands: %s', (path, bytes, code) => {
    expect(told(file(path, bytes, sha('0')))).toEqual(['differs', '2', 'image', `stop ${code}`]);
  });

  it('as the download', () => {
    expect(told(file('/d/pond3-2 (1).zip', 300, sha('0')))).toEqual([
      'differs',
      '2',
      'download',
      'stop truncated',
    ]);
  });

  it('of withdrawn ones only: withdrawn is the only stop', () => {
    expect(told(file('/d/POND3.BIN', 5, sha('0')), [pulled])).toEqual([
      'differs',
      '3',
      'image',
      'warn truncated',
      'stop withdrawn',
    ]);
  });

  it('of several products: the one whose size agrees', () => {
    const other = release({ product: 'pond-4', version: '9', sequence: 99, seed: 'e', bytes: 77 });
    expect(told(file('/d/POND3.BIN', 1000, sha('0')), [other, newer])).toEqual([
      'differs',
      '2',
      'image',
      'stop digest-mismatch',
    ]);
    expect(told(file('/d/POND3.BIN', 77, sha('0')), [newer, other])).toEqual([
      'differs',
      '9',
      'image',
      'stop digest-mismatch',
    ]);
  });

  it('and that is a web page', () => {
    const page = { head: new TextEncoder().encode('<!DOCTYPE html><title>Log in</title>') };
    expect(told(file('/d/POND3.BIN', 36, sha('0'), page))).toEqual([
      'differs',
      '2',
      'image',
      'stop web-page',
    ]);
    expect(told(file('/d/pond3-2.zip', 600, sha('0'), page))).toEqual([
      'differs',
      '2',
      'download',
      'stop web-page',
    ]);
    expect(told(file('/d/POND3.BIN.html', 36, sha('0'), page))).toEqual([
      'differs',
      '2',
      'image',
      'stop web-page',
    ]);
  });
});

describe('whose size alone agrees', () => {
  it('is meant: the newest that stands', () => {
    expect(told(file('/d/unnamed', 1000, sha('0')))).toEqual([
      'differs',
      '2',
      'image',
      'stop digest-mismatch',
    ]);
    expect(told(file('/d/unnamed', 900, sha('0')))).toEqual([
      'differs',
      '1',
      'image',
      'stop digest-mismatch',
    ]);
    expect(told(file('/d/unnamed', 600, sha('0')))).toEqual([
      'differs',
      '2',
      'download',
      'stop digest-mismatch',
    ]);
    expect(told(file('/d/unnamed', 1100, sha('0')))).toEqual([
      'differs',
      '3',
      'image',
      'warn digest-mismatch',
      'stop withdrawn',
    ]);
  });

  it('and nothing agrees: unknown', () => {
    expect(told(file('/d/unnamed', 12, sha('0')))).toEqual([
      'unknown',
      undefined,
      undefined,
      'stop not-in-manifests',
    ]);
    expect(told(file('/d/POND3.BIN', 12, sha('0')), [])).toEqual([
      'unknown',
      undefined,
      undefined,
      'stop not-in-manifests',
    ]);
  });
});

describe('an archive', () => {
  const inside = (name: string, bytes: number, digests?: Digests) => ({
    name,
    bytes,
    ...(digests && { digests }),
  });

  it('that is the download and holds the image matches, still packed', () => {
    const members = [inside('x/README', 5), inside('x/POND3.BIN', 1000, sha('b'))];
    const measured = file('/d/pond3-2.zip', 600, sha('c'), { members });
    expect(told(measured)).toEqual(['matches', '2', 'download', 'note still-packed']);
    expect(identifyDownload(measured, all).member).toBe('x/POND3.BIN');
    expect(told({ ...measured, path: '/d/pond3-2 (4).zip' })).toEqual([
      'matches',
      '2',
      'download',
      'note still-packed',
      'warn renamed',
    ]);
  });

  it('of any name that holds an image matches, still packed, and has no name to be renamed from', () => {
    const measured = file('/d/mine.zip', 555, sha('0'), { members: [inside('POND3.BIN', 900, sha('a'))] });
    expect(told(measured)).toEqual(['matches', '1', 'download', 'note still-packed']);
  });

  it('under the name of the download, packed anew, matches by what it holds', () => {
    const measured = file('/d/pond3-2.zip', 601, sha('0'), {
      members: [inside('POND3.BIN', 1000, sha('b'))],
    });
    expect(told(measured)).toEqual(['matches', '2', 'download', 'note still-packed']);
  });

  it('that holds a withdrawn image differs', () => {
    const measured = file('/d/a.zip', 555, sha('0'), { members: [inside('POND3.BIN', 1100, sha('d'))] });
    expect(told(measured)).toEqual(['differs', '3', 'download', 'note still-packed', 'stop withdrawn']);
  });

  it('that is the download by its digests but does not hold the image differs', () => {
    const measured = file('/d/pond3-2.zip', 600, sha('c'), {
      members: [inside('POND3.BIN', 1000, sha('0'))],
    });
    expect(told(measured)).toEqual(['differs', '2', 'download', 'stop digest-mismatch']);
  });

  it('that is the download but cannot be opened here matches, and says so', () => {
    const fault = { summary: 'Locked.', next: 'Unpack it.' };
    expect(told(file('/d/pond3-2.zip', 600, sha('c'), { archiveFault: fault }))).toEqual([
      'matches',
      '2',
      'download',
      'warn archive-not-read',
    ]);
    expect(told(file('/d/pond3-2.zip', 600, sha('c')))).toEqual([
      'matches',
      '2',
      'download',
      'note still-packed',
    ]);
  });

  it('with a member of the right name and other bytes differs at that member', () => {
    const of = (bytes: number, digests?: Digests) =>
      told(file('/d/a.zip', 555, sha('0'), { members: [inside('deep/POND3.BIN', bytes, digests)] }));
    expect(of(999)).toEqual(['differs', '2', 'download', 'stop truncated']);
    expect(of(1001)).toEqual(['differs', '2', 'download', 'stop too-long']);
    expect(of(1000, sha('0'))).toEqual(['differs', '2', 'download', 'stop digest-mismatch']);
    const where = identifyDownload(
      file('/d/a.zip', 555, sha('0'), { members: [inside('POND3\u001b.BIN', 5), inside('POND3.BIN', 5)] }),
      all,
    );
    expect(where.findings[0]?.where).toBe('/d/a.zip: POND3.BIN');
  });

  it('damaged or cut short under a known name is told by its size', () => {
    const fault = { summary: 'Damaged.', next: 'Again.' };
    expect(told(file('/d/pond3-2.zip', 300, sha('0'), { archiveFault: fault }))).toEqual([
      'differs',
      '2',
      'download',
      'stop truncated',
    ]);
  });
});

describe('digests that are no proof', () => {
  it.each([
    [{ crc32: hex('crc32', '1') }, true],
    [{ md5: hex('md5', '1'), sha1: hex('sha1', '1') }, true],
    [{ sha224: hex('sha224', '1') }, true],
    [{ sha384: hex('sha384', '1') }, false],
    [{ sha512: hex('sha512', '1'), md5: hex('md5', '1') }, false],
  ] as [Digests, boolean][])('%j', (digests, weak) => {
    const one = release({ version: '5', sequence: 5, seed: '1', digests });
    expect(told(file('/d/POND3.BIN', 1000, { ...sha('9'), ...digests }), [one])).toEqual([
      'matches',
      '5',
      'image',
      ...(weak ? ['warn weak-digest-only'] : []),
    ]);
  });
});

describe('the digests that are worked out', () => {
  const many = [
    release({ version: '1', sequence: 1, seed: 'a', digests: { md5: hex('md5', 'a') } }),
    release({
      version: '2',
      sequence: 2,
      seed: 'a',
      name: 'OTHER.BIN',
      bytes: 5,
      digests: { sha512: hex('sha512', 'a') },
    }),
  ];

  it('are those of all that may be meant, by size or name, and always sha256', () => {
    expect(digestKindsWanted(many, { name: 'x', bytes: 1000 })).toEqual(['md5', 'sha256']);
    expect(digestKindsWanted(many, { name: 'other (1).bin', bytes: 1000 })).toEqual([
      'md5',
      'sha256',
      'sha512',
    ]);
    expect(digestKindsWanted(many, { name: 'x', bytes: 1 })).toEqual(['sha256']);
    expect(digestKindsWanted([], { name: 'x', bytes: 1 })).toEqual(['sha256']);
  });

  it('of a member only where an image has its size', () => {
    expect(memberDigestKindsWanted(many, 1000)).toEqual(['md5', 'sha256']);
    expect(memberDigestKindsWanted(many, 999)).toEqual([]);
  });
});

it('names from archives and manifests are made safe in every finding', () => {
  const hostile = release({ version: '1', sequence: 1, seed: 'a' });
  const measured = file('/d/\u001b[31m.zip', 5, sha('0'), {
    members: [{ name: '\u001b]0;x\u0007POND3.BIN', bytes: 1000, digests: sha('a') }],
  });
  for (const finding of identifyDownload(measured, [hostile]).findings) {
    expect(`${finding.seen}${finding.summary}`).not.toMatch(/[\u0000-\u001f]/);
  }
});
