// A boot sector of exFAT worked out by hand from the specification's section 3.1, and both sides of every limit in it.

import { describe, expect, test } from 'vitest';
import { bootChecksum, decodeExfatBoot, exfatGeometryOf } from '../../../../src/card/exfat/exfat-boot.ts';

/** 8 MiB: 16,384 sectors of 512 bytes; FAT of 16 at sector 24; from sector 64 on 2040 clusters of 8 sectors. */
const sound = [
  'eb 76 90 45 58 46 41 54 20 20 20',
  '00 '.repeat(53),
  '00 00 00 00 00 00 00 00  00 40 00 00 00 00 00 00',
  '18 00 00 00  10 00 00 00  40 00 00 00  f8 07 00 00  04 00 00 00',
  '78 56 34 12  00 01  00 00  09 03 01 80 ff',
].join(' ');

interface Change {
  readonly at: number;
  readonly value: number;
  readonly width: 1 | 4;
}
const byte = (at: number, value: number): Change => ({ at, value, width: 1 });
const long = (at: number, value: number): Change => ({ at, value, width: 4 });

function geometryWith(...changes: readonly Change[]) {
  const bytes = new Uint8Array(512);
  bytes.set(Buffer.from(sound.replace(/\s/g, ''), 'hex'));
  bytes.set([0x55, 0xaa], 510);
  const view = new DataView(bytes.buffer);
  for (const { at, value, width } of changes)
    if (width === 1) bytes[at] = value;
    else view.setUint32(at, value, true);
  return exfatGeometryOf(decodeExfatBoot(bytes), bytes);
}

test('what its numbers amount to', () => {
  expect(geometryWith()).toEqual({
    geometry: {
      bytesPerSector: 512,
      clusterBytes: 4096,
      clusterCount: 2040,
      lastCluster: 2041,
      dataOffsetBytes: 32_768,
      fatOffsetBytes: 12_288,
      fatBytes: 8192,
      rootCluster: 4,
      volumeBytes: 8_388_608,
    },
    problems: [],
  });
});

// What is just within, and what is just beyond.
const limits: readonly (readonly [string, readonly Change[], readonly Change[]])[] = [
  ['the smallest sectors', [byte(108, 9)], [byte(108, 8)]],
  ['the largest sectors', [byte(108, 12)], [byte(108, 13)]],
  [
    'clusters of 32 MiB',
    [byte(109, 16), long(72, 64 + 65_536), long(92, 1), long(96, 2)],
    [byte(109, 17), long(72, 64 + 131_072), long(92, 1), long(96, 2)],
  ],
  ['a volume of 1 MiB', [long(72, 2048), long(92, 248)], [long(72, 2047), long(92, 247)]],
  ['the FAT behind the boot regions', [long(80, 24)], [long(80, 23)]],
  ['a FAT long enough', [long(84, 16)], [long(84, 15)]],
  ['clusters behind the FAT', [long(88, 40)], [long(88, 39)]],
  ['as many clusters as there is room for', [long(92, 2040)], [long(92, 2041)]],
  ['the last cluster as the root', [long(96, 2041)], [long(96, 2042)]],
  ['the first cluster as the root', [long(96, 2)], [long(96, 1)]],
  ['one FAT', [byte(110, 1)], [byte(110, 2)]],
  ['a FAT at all', [byte(110, 1)], [byte(110, 0)]],
  ['revision 1.00', [byte(104, 0)], [byte(104, 1)]],
  ['zeros where FAT has its numbers', [byte(63, 0)], [byte(63, 1)]],
];

describe('both sides of', () => {
  test.each(limits)('%s', (_, within, beyond) => {
    expect(geometryWith(...within).problems).toEqual([]);
    expect(geometryWith(...beyond).problems).toHaveLength(1);
  });
});

test('one cluster is enough; without any there is no root either', () => {
  expect(geometryWith(long(92, 1), long(96, 2)).problems).toEqual([]);
  expect(geometryWith(long(92, 0), long(96, 2)).problems).toEqual([
    'no clusters',
    'a root folder at cluster 2, which does not exist',
  ]);
});

test('the checksum of a region turns right by one bit and adds, without flags and the share in use', () => {
  const region = new Uint8Array(12 * 512);
  // The last byte that is counted stands as it is; the one before it turned once.
  region[11 * 512 - 1] = 0x05;
  expect(bootChecksum(region, 512)).toBe(0x05);
  region[11 * 512 - 2] = 0x03;
  expect(bootChecksum(region, 512)).toBe(0x8000_0006);
  for (const at of [106, 107, 112, 11 * 512]) region[at] = 0xff;
  expect(bootChecksum(region, 512)).toBe(0x8000_0006);
});
