// The tables of what lies on a card, against bytes worked out by hand from the specifications, and decode against
// encode over random values.

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crc32 } from '../../../src/bytes/crc32.ts';
import { type BootSector, decodeBootSector, encodeBootSector } from '../../../src/card/fat/boot-sector.ts';
import {
  decodeDirectoryEntry,
  encodeDirectoryEntry,
  firstClusterOf,
  makeDirectoryEntry,
} from '../../../src/card/fat/directory-entry.ts';
import { fatEntries, fatEntry, fatMarks, setFatEntry } from '../../../src/card/fat/fat.ts';
import { decodeFatTime, encodeFatTime } from '../../../src/card/fat/fat-time.ts';
import { decodeFsInfo, encodeFsInfo, fsInfoSigned } from '../../../src/card/fat/fs-info.ts';
import {
  decodeLongNameEntry,
  encodeLongNameEntry,
  longNameEntries,
} from '../../../src/card/fat/long-name.ts';
import {
  decodeGptEntry,
  decodeGptHeader,
  encodeGptEntry,
  encodeGptHeader,
  gptHeaderCrc,
  sealGptHeader,
} from '../../../src/card/table/gpt.ts';
import { decodeMbr, encodeMbr } from '../../../src/card/table/mbr.ts';

const bytesOf = (hex: string): Uint8Array => Uint8Array.from(Buffer.from(hex.replace(/\s/g, ''), 'hex'));
const byte = fc.integer({ min: 0, max: 0xff });
const word = fc.integer({ min: 0, max: 0xffff });
const long = fc.integer({ min: 0, max: 0xffffffff });

test('CRC-32 of the nine digits, the check value that every description gives', () => {
  expect(crc32(Buffer.from('123456789'))).toBe(0xcbf43926);
  expect(crc32(Buffer.from('6789'), crc32(Buffer.from('12345')))).toBe(0xcbf43926);
  expect(crc32(new Uint8Array())).toBe(0);
});

describe('MBR', () => {
  const entry = bytesOf('80 01 02 03 0c 04 05 06 00 20 00 00 00 90 ce 03');

  test('an active FAT32 partition at sector 8192', () => {
    const sector = new Uint8Array(512);
    sector.set(bytesOf('78 56 34 12'), 440);
    sector.set(entry, 446);
    sector.set([0x55, 0xaa], 510);
    const mbr = decodeMbr(sector);
    expect(mbr).toMatchObject({ diskSignature: 0x12345678, signature: 0xaa55 });
    expect(mbr.entries).toHaveLength(4);
    expect(mbr.entries[0]).toEqual({
      status: 0x80,
      firstHead: 1,
      firstSectorCylinder: 0x0302,
      type: 0x0c,
      lastHead: 4,
      lastSectorCylinder: 0x0605,
      startLba: 8192,
      lengthSectors: 63_868_928,
    });
    const again = new Uint8Array(512).fill(0xee);
    encodeMbr(mbr, again);
    expect(again.subarray(440, 444)).toEqual(sector.subarray(440, 444));
    expect(again.subarray(446)).toEqual(sector.subarray(446));
    expect(
      again.subarray(0, 440).every((one) => one === 0xee),
      'boot code stays',
    ).toBe(true);
  });
});

describe('GPT', () => {
  test('a GUID stands on disk with its first three groups turned round', () => {
    const bytes = new Uint8Array(128);
    bytes.set(bytesOf('a2 a0 d0 eb e5 b9 33 44 87 c0 68 b6 b7 26 99 c7'));
    bytes.set([0x00, 0x08], 32);
    bytes.set([0xff, 0x27], 40);
    bytes.set(Buffer.from('card', 'utf16le'), 56);
    const entry = decodeGptEntry(bytes, 0);
    expect(entry).toMatchObject({
      typeGuid: 'EBD0A0A2-B9E5-4433-87C0-68B6B72699C7',
      startLba: 2048,
      endLba: 10239,
      attributes: 0,
      name: 'card',
    });
    const again = new Uint8Array(128);
    encodeGptEntry(entry, again, 0);
    expect(again).toEqual(bytes);
  });

  test('a header is sealed with a CRC in which its own field counts as zero', () => {
    const sector = new Uint8Array(512);
    encodeGptHeader(
      {
        signature: 'EFI PART',
        revision: 0x10000,
        headerBytes: 92,
        headerCrc: 0xffffffff,
        currentLba: 1,
        backupLba: 99,
        firstUsableLba: 34,
        lastUsableLba: 66,
        diskGuid: '11111111-2222-3333-4444-555555555555',
        entriesLba: 2,
        entryCount: 128,
        entryBytes: 128,
        entriesCrc: 7,
      },
      sector,
    );
    sealGptHeader(sector);
    const header = decodeGptHeader(sector);
    const zeroed = sector.slice(0, 92);
    zeroed.fill(0, 16, 20);
    expect(header.headerCrc).toBe(crc32(zeroed));
    expect(gptHeaderCrc(sector, 92)).toBe(header.headerCrc);
    expect(header.diskGuid).toBe('11111111-2222-3333-4444-555555555555');
    sector[24] = 9;
    expect(gptHeaderCrc(sector, 92)).not.toBe(header.headerCrc);
  });
});

describe('boot sector', () => {
  test('FAT16, by hand', () => {
    const sector = new Uint8Array(512);
    sector.set(
      bytesOf(
        'eb 3c 90 4d 41 44 45 48 45 52 45 00 02 04 01 00 02 00 02 00 00 f8 40 00 3f 00 ff 00 00 20 00 00 00 00 01 00',
      ),
    );
    sector.set(bytesOf('80 01 29 4d 3c 2b 1a'), 36);
    sector.set(Buffer.from('CARD       FAT16   '), 43);
    sector.set([0x55, 0xaa], 510);
    const boot = decodeBootSector(sector);
    expect(boot).toEqual({
      layout: 'fat16',
      jump0: 0xeb,
      jump1: 0x3c,
      jump2: 0x90,
      oemName: 'MADEHERE',
      bytesPerSector: 512,
      sectorsPerCluster: 4,
      reservedSectors: 1,
      fatCount: 2,
      rootEntryCount: 512,
      totalSectors16: 0,
      media: 0xf8,
      sectorsPerFat16: 64,
      sectorsPerTrack: 63,
      heads: 255,
      hiddenSectors: 8192,
      totalSectors32: 65536,
      sectorsPerFat32: 0,
      extendedFlags: 0,
      version: 0,
      rootCluster: 0,
      fsInfoSector: 0,
      backupBootSector: 0,
      driveNumber: 0x80,
      state: 1,
      extendedSignature: 0x29,
      volumeId: 0x1a2b3c4d,
      label: 'CARD       ',
      typeText: 'FAT16   ',
      signature: 0xaa55,
    } satisfies BootSector);
    const again = new Uint8Array(512);
    encodeBootSector(boot, again);
    expect(again).toEqual(sector);
  });

  test('FAT32 keeps its own fields where FAT16 keeps others', () => {
    const sector = new Uint8Array(512);
    sector.set(bytesOf('e8 03 00 00 80 00 00 01 02 00 00 00 01 00 06 00'), 36);
    sector.set(bytesOf('80 02 29 4d 3c 2b 1a'), 64);
    const boot = decodeBootSector(sector);
    expect(boot).toMatchObject({
      layout: 'fat32',
      sectorsPerFat32: 1000,
      extendedFlags: 0x80,
      version: 0x0100,
      rootCluster: 2,
      fsInfoSector: 1,
      backupBootSector: 6,
      driveNumber: 0x80,
      state: 2,
      volumeId: 0x1a2b3c4d,
    });
  });

  test('decode and encode are inverse over random sectors', () => {
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 512, maxLength: 512 }), (random) => {
        const boot = decodeBootSector(random);
        const again = new Uint8Array(512);
        encodeBootSector(boot, again);
        expect(decodeBootSector(again)).toEqual(boot);
        const over = random.slice();
        encodeBootSector(boot, over);
        expect(over).toEqual(random);
      }),
    );
  });
});

test('FSInfo', () => {
  const sector = new Uint8Array(512);
  sector.set(Buffer.from('RRaA'), 0);
  sector.set(bytesOf('72 72 41 61 39 30 00 00 ff ff ff ff'), 484);
  sector.set(bytesOf('00 00 55 aa'), 508);
  const info = decodeFsInfo(sector);
  expect(info).toMatchObject({ freeClusters: 12345, nextFree: 0xffffffff });
  expect(fsInfoSigned(info)).toBe(true);
  const again = new Uint8Array(512);
  encodeFsInfo(info, again);
  expect(again).toEqual(sector);
  for (const at of [0, 484, 510]) {
    const damaged = sector.slice();
    damaged[at] = 0x20;
    expect(fsInfoSigned(decodeFsInfo(damaged))).toBe(false);
  }
});

describe('directory entry', () => {
  const bytes = bytesOf(`
    52 49 4c 4c 34 30 20 20 46 57 55 20 18 64 5c 64
    41 5d 41 5d 0a 00 5c 64 41 5d 0b 00 00 00 20 01`);

  test('by hand', () => {
    const entry = decodeDirectoryEntry(bytes);
    expect(Buffer.from(entry.name).toString()).toBe('RILL40  FWU');
    expect(entry).toMatchObject({
      attributes: 0x20,
      caseBits: 0x18,
      createdHundredths: 100,
      sizeBytes: 18_874_368,
    });
    expect(entry).toMatchObject({ modifiedTime: 0x645c, modifiedDate: 0x5d41, accessedDate: 0x5d41 });
    expect(firstClusterOf(entry, 32)).toBe(0x000a000b);
    expect(firstClusterOf(entry, 16), 'the upper half belongs to others there').toBe(0x0b);
    const again = new Uint8Array(32);
    encodeDirectoryEntry(entry, again);
    expect(again).toEqual(bytes);
  });

  test('made for a file: 2026-10-01 12:34:56', () => {
    const name = Buffer.from('RILL40  FWU');
    const entry = makeDirectoryEntry({
      name,
      attributes: 0x20,
      firstCluster: 0x0a000b,
      sizeBytes: 5,
      atMs: Date.UTC(2026, 9, 1, 12, 34, 57),
    });
    expect(entry).toMatchObject({ modifiedDate: 0x5d41, modifiedTime: 0x645c, createdHundredths: 100 });
    expect(firstClusterOf(entry, 32)).toBe(0x0a000b);
  });

  test('decode and encode are inverse', () => {
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 32, maxLength: 32 }), (random) => {
        const again = new Uint8Array(32);
        encodeDirectoryEntry(decodeDirectoryEntry(random), again);
        expect(again).toEqual(random);
      }),
    );
  });
});

describe('dates and times', () => {
  test('both ends of the format, and what is no date', () => {
    expect(decodeFatTime({ date: 0x0021, time: 0, hundredths: 0 })).toBe(Date.UTC(1980, 0, 1));
    expect(decodeFatTime({ date: 0xff9f, time: 0xbf7d, hundredths: 199 })).toBe(
      Date.UTC(2107, 11, 31, 23, 59, 59, 990),
    );
    // No day, no month, neither, month 13.
    for (const date of [0x0020, 0x0001, 0, 0x01a1]) {
      expect(decodeFatTime({ date, time: 0, hundredths: 0 })).toBeUndefined();
    }
    expect(
      decodeFatTime({ date: (46 << 9) | (2 << 5) | 29, time: 0, hundredths: 0 }),
      '29 February 2026',
    ).toBeUndefined();
    expect(decodeFatTime({ date: (44 << 9) | (2 << 5) | 29, time: 0, hundredths: 0 })).toBe(
      Date.UTC(2024, 1, 29),
    );
    for (const time of [24 << 11, 60 << 5, 30])
      expect(decodeFatTime({ date: 0x0021, time, hundredths: 0 })).toBeUndefined();
    expect(decodeFatTime({ date: 0x0021, time: 0, hundredths: 200 })).toBeUndefined();
    expect(encodeFatTime(Date.UTC(1970, 0, 1))).toEqual({ date: 0x0021, time: 0, hundredths: 0 });
    expect(encodeFatTime(Date.UTC(2200, 0, 1))).toEqual({ date: 0xff9f, time: 0xbf7d, hundredths: 199 });
  });

  test('decode and encode are inverse in hundredths of a second', () => {
    const hundredth = fc.integer({ min: Date.UTC(1980, 0, 1) / 10, max: Date.UTC(2107, 11, 31) / 10 });
    fc.assert(fc.property(hundredth, (at) => decodeFatTime(encodeFatTime(at * 10)) === at * 10));
  });
});

describe('long-name entry', () => {
  test('“a longer name.txt” takes two, the last first', () => {
    const entries = longNameEntries('a longer name.txt', 0x5a)!;
    expect(entries.map((entry) => entry.order)).toEqual([0x42, 0x01]);
    const bytes = new Uint8Array(64);
    for (const [i, entry] of entries.entries()) encodeLongNameEntry(entry, bytes, i * 32);
    const hex = `
      42 2e 00 74 00 78 00 74 00 00 00 0f 00 5a ff ff
      ff ff ff ff ff ff ff ff ff ff 00 00 ff ff ff ff
      01 61 00 20 00 6c 00 6f 00 6e 00 0f 00 5a 67 00
      65 00 72 00 20 00 6e 00 61 00 00 00 6d 00 65 00`;
    expect(Buffer.from(bytes).toString('hex')).toBe(hex.replace(/\s/g, ''));
  });

  test('exactly 13 and 26 units have no end mark; 255 is the most', () => {
    expect(longNameEntries('x'.repeat(13), 0)!.map((entry) => entry.units.includes(0))).toEqual([false]);
    expect(longNameEntries('x'.repeat(26), 0)).toHaveLength(2);
    expect(longNameEntries('x'.repeat(255), 0)).toHaveLength(20);
    expect(longNameEntries('x'.repeat(256), 0)).toBeUndefined();
    expect(longNameEntries('', 0)).toBeUndefined();
  });

  test('decode and encode are inverse', () => {
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 32, maxLength: 32 }), (random) => {
        const again = new Uint8Array(32);
        encodeLongNameEntry(decodeLongNameEntry(random), again);
        expect(again).toEqual(random);
      }),
    );
  });
});

describe('FAT entries', () => {
  test('twelve bits: two entries in three bytes', () => {
    const fat = bytesOf('f8 ff ff 03 40 00 05 f0 ff');
    expect([0, 1, 2, 3, 4, 5].map((cluster) => fatEntry(fat, 12, cluster))).toEqual([
      0xff8, 0xfff, 3, 4, 5, 0xfff,
    ]);
    setFatEntry(fat, 12, 2, 0xabc);
    setFatEntry(fat, 12, 3, 0xdef);
    expect(Buffer.from(fat).toString('hex')).toBe('f8ffffbcfade05f0ff');
  });

  test('32 bits: the upper four are kept and do not count', () => {
    const fat = bytesOf('f8 ff ff 0f ff ff ff ff 34 12 00 a0');
    expect(fatEntry(fat, 32, 2)).toBe(0x1234);
    setFatEntry(fat, 32, 2, 0x0fffffff);
    expect(Buffer.from(fat).toString('hex')).toBe('f8ffff0fffffffffffffffaf');
  });

  test.each([12, 16, 32] as const)(
    '%i bits: what was set is what is read, and nothing else changes',
    (bits) => {
      const count = 50;
      const value = fc.integer({ min: 0, max: fatMarks[bits].mask });
      fc.assert(
        fc.property(
          fc.array(value, { minLength: count, maxLength: count }),
          fc.nat(count - 1),
          value,
          (values, at, one) => {
            const fat = new Uint8Array(Math.ceil((count * bits) / 8));
            for (const [cluster, each] of values.entries()) setFatEntry(fat, bits, cluster, each);
            setFatEntry(fat, bits, at, one);
            const expected = values.with(at, one);
            expect(expected.map((_, cluster) => fatEntry(fat, bits, cluster))).toEqual(expected);
            expect([...fatEntries(fat, bits, count)]).toEqual(expected);
            // Memory that is not aligned takes the slow way.
            const shifted = new Uint8Array(fat.length + 1);
            shifted.set(fat, 1);
            expect([...fatEntries(shifted.subarray(1), bits, count)]).toEqual(expected);
          },
        ),
      );
    },
  );
});

test('MBR: decode and encode are inverse', () => {
  const entry = fc.record({
    status: byte,
    firstHead: byte,
    firstSectorCylinder: word,
    type: byte,
    lastHead: byte,
    lastSectorCylinder: word,
    startLba: long,
    lengthSectors: long,
  });
  const mbr = fc.record({
    diskSignature: long,
    signature: word,
    entries: fc.array(entry, { minLength: 4, maxLength: 4 }),
  });
  fc.assert(
    fc.property(mbr, (value) => {
      const sector = new Uint8Array(512);
      encodeMbr(value, sector);
      expect(decodeMbr(sector)).toEqual(value);
    }),
  );
});
