// Cards laid out anew, judged by fsck.fat, mtools and sfdisk, and by hand-worked bytes. The sizes run along
// both sides of every limit of the cluster rules.

import { spawnSync } from 'node:child_process';
import { closeSync, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { WriteStage } from '../../../../src/card/card-write.ts';
import { freshIds } from '../../../../src/card/fresh/fresh-boot.ts';
import { type FreshGeometry, planFreshGeometry } from '../../../../src/card/fresh/fresh-geometry.ts';
import { planFreshLayout } from '../../../../src/card/fresh/fresh-layout.ts';
import type { CardRule } from '../../../../src/manifest/schema.ts';
import {
  fsckFat,
  listFiles,
  makeSparseFile,
  mtool,
  takeFile,
  temporaryFolder,
} from '../../../support/card-images.ts';
import { cardRule } from '../../../support/card-rule.ts';

const folder = temporaryFolder();
const image = patternBytes(100_003);
const rule = cardRule({ fileSystems: ['fat16', 'fat32'], partitionTables: ['mbr', 'none'] });

function patternBytes(length: number): Uint8Array {
  return Uint8Array.from({ length }, (_, i) => (i * 31 + (i >> 8)) & 0xff);
}

function releaseOf(name: string, inFolder: string, bytes: number) {
  return {
    product: 'rill-40',
    version: '4.2.0',
    issued: '2026-10-01',
    image: { name, folder: inFolder, bytes, digests: { sha256: '00' } },
  };
}

function geometryOf(over: Partial<CardRule>, cardBytes: number, sectorBytes = 512): FreshGeometry {
  const answer = planFreshGeometry({ ...rule, ...over }, cardBytes, sectorBytes, {
    imageBytes: image.length,
    folders: 0,
  });
  if (answer.kind !== 'fits') throw new Error(answer.why.join('; '));
  return answer.geometry;
}

function whyNot(over: Partial<CardRule>, cardBytes: number, imageBytes = 1000): readonly string[] {
  const answer = planFreshGeometry({ ...rule, ...over }, cardBytes, 512, {
    imageBytes,
    folders: 0,
  });
  return answer.kind === 'fits' ? [] : answer.why;
}

interface Made {
  readonly path: string;
  readonly geometry: FreshGeometry;
  readonly placed: { readonly table: 'mbr' | 'none'; readonly startSector: number };
}

let count = 0;

/** Lays a card image file out, dirt in the free space first, and gives it to the judges. */
function layOut(over: Partial<CardRule>, cardBytes: number, inFolder = '', name = 'RILL40.FWU'): Made {
  const path = join(folder, `card-${count++}.img`);
  makeSparseFile(path, cardBytes);
  const answer = planFreshGeometry({ ...rule, ...over }, cardBytes, 512, {
    imageBytes: image.length,
    folders: inFolder === '' ? 0 : inFolder.split('/').length,
  });
  if (answer.kind !== 'fits') throw new Error(answer.why.join('; '));
  const { geometry } = answer;
  const layout = planFreshLayout({
    geometry,
    rule: { ...rule, ...over },
    release: releaseOf(name, inFolder, image.length),
    cardBytes,
    cardName: '',
  });
  const handle = openSync(path, 'r+');
  for (const stage of [...layout.stages, layout.unguard]) writeStage(handle, stage);
  closeSync(handle);
  return {
    path,
    geometry,
    placed: { table: geometry.partitionTable, startSector: geometry.volumeStartSector },
  };
}

function writeStage(handle: number, stage: WriteStage): void {
  if (stage.kind === 'sectors') {
    let written = 0;
    for (const write of stage.writes()) {
      writeSync(handle, write.bytes, 0, write.bytes.length, write.offsetBytes);
      written += write.bytes.length;
    }
    expect(written).toBe(stage.totalBytes);
    return;
  }
  const [run] = stage.runs;
  writeSync(handle, image, 0, image.length, run?.offsetBytes ?? 0);
}

function requireSound(made: Made, imagePath: string): void {
  // Judging a partition takes a copy of it: a large card is judged whole where it is a bare volume alone.
  if (made.geometry.cardSectors < 2 ** 19 || made.geometry.partitionTable === 'none') {
    const judged = fsckFat(made.path, made.placed);
    expect(judged, made.path).toMatchObject({ exit: 0 });
    expect(judged.text).not.toMatch(/differ|wrong|Free cluster summary|dirty|Leaving/i);
  }
  expect(listFiles(made.path, made.placed)).toEqual([imagePath]);
  expect(Buffer.compare(takeFile(made.path, made.placed, imagePath) ?? new Uint8Array(), image)).toBe(0);
}

const MiB = 2 ** 20;

describe('cluster sizes', () => {
  it.each<['fat16' | 'fat32', 'mbr' | 'none', number, number, number]>([
    // FAT32: the largest up to 32 KiB that leaves 65,541 clusters or more
    ['fat32', 'mbr', 32e9, 65_536, 32_768],
    ['fat32', 'mbr', 32e9, 4096, 4096],
    ['fat32', 'mbr', 32e9, 5000, 4096],
    ['fat32', 'none', 1e9, 65_536, 8192],
    ['fat32', 'none', 64 * MiB, 65_536, 512],
    // FAT16: the smallest that leaves 4,101 to 65,509
    ['fat16', 'none', 3 * MiB, 65_536, 512],
    ['fat16', 'none', 16 * MiB, 65_536, 512],
    ['fat16', 'none', 32 * MiB, 65_536, 512],
    ['fat16', 'none', 33 * MiB, 65_536, 1024],
    ['fat16', 'mbr', 1e9, 65_536, 16_384],
    ['fat16', 'mbr', 2e9, 65_536, 32_768],
    ['fat16', 'mbr', 4e9, 65_536, 65_536],
  ])('%s %s on %d bytes, at most %d', (fileSystem, table, cardBytes, maxClusterBytes, expected) => {
    const geometry = geometryOf(
      { fileSystems: [fileSystem], partitionTables: [table], maxClusterBytes },
      cardBytes,
    );
    expect(geometry.clusterSectors * 512).toBe(expected);
    expect(geometry.fileSystem).toBe(fileSystem);
  });

  it('stays 16 clusters clear of the limits, by brute force around them', () => {
    for (const [fileSystem, least, most] of [
      ['fat16', 4101, 65_509],
      ['fat32', 65_541, 0x0fff_fff5],
    ] as const) {
      for (const near of [4101, 65_509, 65_541]) {
        for (let sectors = near - 40; sectors < near + 1200; sectors++) {
          const fits = planFreshGeometry(
            { fileSystems: [fileSystem], partitionTables: ['none'], maxClusterBytes: 512 },
            sectors * 512,
            512,
            { imageBytes: 1, folders: 0 },
          );
          // Every FAT length tried from the shortest on, as slowly as can be.
          const bits = fileSystem === 'fat16' ? 16 : 32;
          const before = fileSystem === 'fat16' ? 1 + 32 : 32;
          let fat = 1;
          while (fat * 512 * 8 < (sectors - before - 2 * fat + 2) * bits) fat++;
          const clusters = sectors - before - 2 * fat;
          const expected = clusters >= least && clusters <= most ? [fat, clusters] : undefined;
          const seen = fits.kind === 'fits' ? [fits.geometry.fatSectors, fits.geometry.clusters] : undefined;
          expect(seen, `${fileSystem} on ${sectors} sectors`).toEqual(expected);
        }
      }
    }
  });

  it('takes the first file system, then the first table, that fits', () => {
    expect(
      geometryOf({ fileSystems: ['fat12', 'exfat', 'fat32'], partitionTables: ['gpt', 'none'] }, 1e9),
    ).toMatchObject({
      fileSystem: 'fat32',
      partitionTable: 'none',
    });
    // FAT16 does not reach over 4 GB: the second on the list is taken.
    expect(geometryOf({}, 8e9)).toMatchObject({ fileSystem: 'fat32', partitionTable: 'mbr' });
    expect(geometryOf({ fileSystems: ['fat32', 'fat16'] }, 16 * MiB)).toMatchObject({ fileSystem: 'fat16' });
  });

  it('says why nothing fits', () => {
    expect(whyNot({ fileSystems: ['exfat'] }, 1e9)).toEqual(['exfat is not laid out by this version']);
    expect(whyNot({ partitionTables: ['gpt'] }, 1e9)).toEqual([
      'a gpt table is not laid out by this version',
    ]);
    expect(whyNot({ partitionTables: ['mbr'] }, 8192 * 512)).toHaveLength(1);
    expect(whyNot({ fileSystems: ['fat16'], partitionTables: ['none'] }, 5 * MiB, 6 * MiB)[0]).toMatch(
      /no room/,
    );
    expect(whyNot({ fileSystems: ['fat32'] }, 2 ** 41 + 8192 * 512)[0]).toMatch(/longer than/);
    expect(whyNot({ fileSystems: ['fat32'], partitionTables: ['none'] }, (2 ** 32 - 1) * 512)).toEqual([]);
    expect(whyNot({}, 0)).not.toEqual([]);
    expect(whyNot({}, 511)).not.toEqual([]);
  });
});

describe('what the judges say', () => {
  it.each<[Partial<CardRule>, number, string]>([
    [{ fileSystems: ['fat16'], partitionTables: ['mbr'] }, 16 * MiB, ''],
    [{ fileSystems: ['fat16'], partitionTables: ['none'] }, 3 * MiB, ''],
    [{ fileSystems: ['fat16'], partitionTables: ['none'], maxClusterBytes: 512 }, 30 * MiB + 100, 'FW'],
    [{ fileSystems: ['fat16'], partitionTables: ['mbr'] }, 128 * MiB, 'FW/LOAD/A'],
    [{ fileSystems: ['fat16'], partitionTables: ['mbr'] }, 4_000_000_000, ''],
    [{ fileSystems: ['fat32'], partitionTables: ['mbr'] }, 64 * MiB, ''],
    [{ fileSystems: ['fat32'], partitionTables: ['none'] }, 40 * MiB, 'FW/LOAD'],
    [{ fileSystems: ['fat32'], partitionTables: ['mbr'], activePartition: true }, 1_000_000_000, 'FW'],
    [{ fileSystems: ['fat32'], partitionTables: ['mbr'] }, 32_000_000_000, ''],
    [{ fileSystems: ['fat16'], partitionTables: ['none'] }, 4_000_000_000, 'FW'],
    [{ fileSystems: ['fat32'], partitionTables: ['none'] }, 32_000_000_000, ''],
    [{ fileSystems: ['fat32'], partitionTables: ['none'], maxClusterBytes: 4096 }, 8_000_000_000, ''],
  ])('%o on %d bytes, in %o', (over, cardBytes, inFolder) => {
    const made = layOut(over, cardBytes, inFolder);
    requireSound(made, inFolder === '' ? 'RILL40.FWU' : `${inFolder}/RILL40.FWU`);
    if (made.geometry.partitionTable === 'mbr') {
      const verified = spawnSync('sfdisk', ['-V', '-q', made.path], { encoding: 'utf8' });
      expect(verified.stdout + verified.stderr).not.toMatch(/error|overlap|outside|inconsistent/i);
      expect(verified.status).toBe(0);
      const told = JSON.parse(
        spawnSync('sfdisk', ['-J', made.path], { encoding: 'utf8' }).stdout,
      ).partitiontable;
      const sectors = Math.floor(cardBytes / 512);
      expect(told.partitions).toHaveLength(1);
      expect(told.partitions[0]).toMatchObject({ start: 8192, size: sectors - 8192 });
      expect(told.partitions[0].bootable === true).toBe(over.activePartition === true);
      const type =
        made.geometry.fileSystem === 'fat32'
          ? sectors > 16_450_560
            ? 'c'
            : 'b'
          : sectors - 8192 < 65_536
            ? '4'
            : '6';
      expect(told.partitions[0].type).toBe(type);
      const { diskSignature } = freshIds(releaseOf('', '', 1), cardBytes, '');
      expect(Number(told.id)).toBe(diskSignature);
    }
  });

  it('gives a long name an alias where the rule lets it', () => {
    const made = layOut(
      { shortNameOnly: false, partitionTables: ['none'] },
      16 * MiB,
      'Firmware files',
      'rill 40, 4.2.0.fwu',
    );
    requireSound(made, 'Firmware files/rill 40, 4.2.0.fwu');
    const listing = mtool('mdir', made.path, made.placed, ['-a', '::/Firmware files']);
    expect(listing).toMatch(/RILL40~1 FWU\s+100003 2026-10-01\s+0:00\s+rill 40, 4\.2\.0\.fwu/);
  });

  it('shows planted damage: the judges would notice', () => {
    const made = layOut({ fileSystems: ['fat32'], partitionTables: ['none'] }, 40 * MiB);
    const handle = openSync(made.path, 'r+');
    writeSync(handle, Uint8Array.of(0), 0, 1, made.geometry.reservedSectors * 512 + 5 * 4);
    closeSync(handle);
    expect(fsckFat(made.path, made.placed).exit).not.toBe(0);
  });
});

describe('to the byte', () => {
  const request = (over: Partial<CardRule>, cardBytes: number) => ({
    geometry: geometryOf(over, cardBytes),
    rule: { ...rule, ...over },
    release: releaseOf('RILL40.FWU', '', image.length),
    cardBytes,
    cardName: '',
  });
  const all = (stages: readonly WriteStage[]) =>
    stages.flatMap((stage) =>
      stage.kind === 'image'
        ? [JSON.stringify(stage.runs)]
        : [...stage.writes()].map(
            (write) => `${write.offsetBytes}:${Buffer.from(write.bytes).toString('base64')}`,
          ),
    );

  it('gives equal sectors for equal inputs, others for others', () => {
    const cardBytes = 64 * MiB;
    const first = planFreshLayout(request({}, cardBytes));
    const second = planFreshLayout(request({}, cardBytes));
    expect(all(first.stages)).toEqual(all(second.stages));
    expect(freshIds(releaseOf('', '', 1), cardBytes, '')).not.toEqual(
      freshIds(releaseOf('', '', 1), cardBytes, 'A7'),
    );
    expect(freshIds(releaseOf('', '', 1), cardBytes, '')).not.toEqual(
      freshIds(releaseOf('', '', 1), cardBytes + 512, ''),
    );
  });

  it('takes the ids from the first eight bytes of the digest, as sha256sum gives it', () => {
    const judged = spawnSync('sha256sum', {
      input: 'rill-40@4.2.0\n67108864\nA7\n',
      encoding: 'utf8',
    }).stdout;
    const ids = freshIds(releaseOf('', '', 1), 64 * MiB, 'A7');
    const bytes = Buffer.alloc(8);
    bytes.writeUInt32LE(ids.volumeId, 0);
    bytes.writeUInt32LE(ids.diskSignature, 4);
    expect(bytes.toString('hex')).toBe(judged.slice(0, 16));
  });

  it('writes a FAT32 boot sector and an MBR as worked out by hand', () => {
    const cardBytes = 64 * MiB;
    const layout = planFreshLayout(request({ fileSystems: ['fat32'], activePartition: true }, cardBytes));
    const open = layout.stages.at(-1);
    const mbr = open?.kind === 'sectors' ? [...open.writes()][0] : undefined;
    // 64 MiB: 131,072 sectors; the partition from 8,192 on has 122,880 (1E000h). CHS of 8,192 with 255 heads and
    // 63 sectors: 8192 = 130 * 63 + 2, so cylinder 0, head 130 (82h), sector 3. CHS of 131,071: 2080 * 63 + 31,
    // 2080 = 8 * 255 + 40, so cylinder 8, head 40 (28h), sector 32 (20h).
    expect(mbr?.offsetBytes).toBe(0);
    expect(Buffer.from(mbr?.bytes.subarray(446, 512) ?? []).toString('hex')).toBe(
      `8082030 00b282008 00200000 00e00100 ${'00'.repeat(48)} 55aa`.replaceAll(' ', ''),
    );
    const last = layout.unguard.kind === 'sectors' ? [...layout.unguard.writes()] : [];
    expect(last).toHaveLength(1);
    expect(last[0]?.offsetBytes).toBe(8192 * 512);
    const boot = Buffer.from(last[0]?.bytes ?? []);
    // 122,880 sectors less 32 reserved, clusters of one sector: FATs of 945 sectors hold 120,960 entries for
    // 122848 - 1890 = 120,958 clusters and the two reserved ones, exactly.
    expect(boot.subarray(0, 90).toString('hex')).toBe(
      [
        'eb5890',
        '4d5357494e342e31',
        '0002 01 2000 02 0000 0000 f8 0000 3f00 ff00 00200000 00e00100',
        'b1030000 0000 0000 02000000 0100 0600 000000000000000000000000',
        '80 00 29',
        Buffer.from(Uint32Array.of(layout.volumeId).buffer).toString('hex'),
        '4e4f204e414d4520202020',
        '4641543332202020',
      ]
        .join('')
        .replaceAll(' ', ''),
    );
    expect(boot.subarray(510).toString('hex')).toBe('55aa');
  });

  it('blanks the first and the last MiB before anything else, and opens the card last', () => {
    const cardBytes = 40 * MiB + 700;
    for (const table of ['mbr', 'none'] as const) {
      const layout = planFreshLayout(request({ partitionTables: [table] }, cardBytes));
      expect(layout.stages.map((stage) => stage.name)).toEqual(['blank', 'tables', 'image', 'open']);
      const [blank, tables] = layout.stages;
      const blanked = blank?.kind === 'sectors' ? [...blank.writes()] : [];
      expect(blanked.map((write) => [write.offsetBytes, write.bytes.length])).toEqual([
        [0, MiB],
        [cardBytes - MiB, MiB],
      ]);
      expect(blanked.every((write) => write.bytes.every((byte) => byte === 0))).toBe(true);
      const offsets =
        tables?.kind === 'sectors' ? [...tables.writes()].map((write) => write.offsetBytes) : [0];
      expect(Math.min(...offsets)).toBeGreaterThan(0);
    }
  });
});
