// One fault, one test: on a card that is ready, made by stock tools, a single thing is made wrong, and `check` must
// tell it by its code and by no other stop. The first test of each card shows that it is ready before.

import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { type CheckedCard, checkCard } from '../../src/card/check/check-card.ts';
import { type CardCode, cardCodes } from '../../src/card/check/finding-codes.ts';
import { examineCard } from '../../src/card/look/examine-card.ts';
import type { CardRule, Release } from '../../src/manifest/schema.ts';
import {
  type CardRecipe,
  makeCardFile,
  makeSparseFile,
  mtool,
  putFile,
  temporaryFolder,
  volumeStartSector,
} from '../support/card-images.ts';
import { cardRule, firmwareBytes, releaseFor } from '../support/card-rule.ts';
import { makeExfatBytes } from '../support/exfat-images.ts';
import { memoryBlocks } from '../support/memory-blocks.ts';
import { Plant } from '../support/plant.ts';

const image = firmwareBytes(5000);
const release = releaseFor(image);
const older = firmwareBytes(5000, 2);
const olderRelease = releaseFor(older, { version: '4.1.0', sequence: 16 });
const entryName = 'RILL40  FWU';
const files = [{ path: 'RILL40.FWU', bytes: image }];
const withFolder = [
  ...files,
  { path: 'DOCS/NOTE.TXT', bytes: firmwareBytes(1500, 3) },
  { path: 'DOCS/a longer name.txt', bytes: firmwareBytes(20, 4) },
  { path: 'DOCS/MORE/DEEP.TXT', bytes: firmwareBytes(20, 5) },
];
const megabyte = 1 << 20;

const cards = {
  'FAT12 bare': { sizeBytes: megabyte, table: 'none', bits: 12, sectorsPerCluster: 1, files },
  'FAT16 bare': { sizeBytes: 3 * megabyte, table: 'none', bits: 16, sectorsPerCluster: 1, files },
  'FAT16 in MBR': { sizeBytes: 4 * megabyte, table: 'mbr', bits: 16, sectorsPerCluster: 1, files },
  'FAT16 in GPT': { sizeBytes: 4 * megabyte, table: 'gpt', bits: 16, sectorsPerCluster: 1, files },
  'FAT32 in MBR': {
    sizeBytes: 36 * megabyte,
    table: 'mbr',
    bits: 32,
    sectorsPerCluster: 1,
    label: 'CARD',
    files,
  },
  'FAT16 with folders': {
    sizeBytes: 3 * megabyte,
    table: 'none',
    bits: 16,
    sectorsPerCluster: 1,
    label: 'CARD',
    files: withFolder,
  },
  'FAT32 with folders': {
    sizeBytes: 36 * megabyte,
    table: 'none',
    bits: 32,
    sectorsPerCluster: 1,
    files: withFolder,
  },
} as const satisfies Record<string, CardRecipe>;
type CardName = keyof typeof cards;

const folder = temporaryFolder();
const made = new Map<CardName, Uint8Array>();

beforeAll(() => {
  for (const [name, recipe] of Object.entries(cards)) {
    const path = join(folder, 'card.img');
    makeCardFile(path, recipe);
    made.set(name as CardName, new Uint8Array(readFileSync(path)));
  }
}, 60_000);

interface Fault {
  readonly what: string;
  readonly on: CardName;
  readonly code: CardCode;
  /** Of the contract: a stop unless said otherwise; with `warn` or `note` the card stays ready. */
  readonly severity?: 'warn' | 'note';
  readonly rule?: Partial<CardRule>;
  readonly release?: Release;
  /** Changes the card's bytes, or gives others in their place. */
  readonly plant?: (at: Plant) => unknown;
  /** Changed by mtools and other stock tools, on the card image file. */
  readonly tools?: (path: string, recipe: CardRecipe) => void;
}

/** Rules under which the other files of the cards with folders are allowed. */
const mixed: Partial<CardRule> = { onlyFile: false };

const boot = (what: string, on: CardName, plant: (at: Plant) => void): Fault => ({
  what: `boot sector: ${what}`,
  on,
  code: 'boot-sector-bad',
  plant,
});
const directory = (what: string, plant: (at: Plant) => void, on: CardName = 'FAT16 with folders'): Fault => ({
  what: `folder: ${what}`,
  on,
  code: 'directory-damaged',
  rule: mixed,
  plant,
});
const chain = (what: string, on: CardName, plant: (at: Plant) => void): Fault => ({
  what: `chain: ${what}`,
  on,
  code: 'chain-broken',
  plant,
});
const every: readonly CardName[] = ['FAT12 bare', 'FAT16 bare', 'FAT32 in MBR'];

const faults: readonly Fault[] = [
  boot('0 bytes a sector', 'FAT16 bare', (at) => at.boot16(11, 0)),
  boot('513 bytes a sector', 'FAT16 in MBR', (at) => at.boot16(11, 513)),
  boot('65,535 bytes a sector', 'FAT32 in MBR', (at) => at.boot16(11, 65535)),
  boot('0 sectors a cluster', 'FAT16 bare', (at) => at.boot8(13, 0)),
  boot('3 sectors a cluster', 'FAT32 in MBR', (at) => at.boot8(13, 3)),
  boot('no reserved sectors', 'FAT16 in MBR', (at) => at.boot16(14, 0)),
  boot('65,535 reserved sectors', 'FAT16 in MBR', (at) => at.boot16(14, 65535)),
  boot('no FAT', 'FAT16 bare', (at) => at.boot8(16, 0)),
  boot('255 FATs', 'FAT16 in GPT', (at) => at.boot8(16, 255)),
  boot('no root entries on FAT16', 'FAT16 bare', (at) => at.boot16(17, 0)),
  boot('root entries on FAT32', 'FAT32 in MBR', (at) => at.boot16(17, 16)),
  boot('a length of 0', 'FAT16 in MBR', (at) => {
    at.boot16(19, 0);
    at.boot32(32, 0);
  }),
  boot('a length of 5 sectors', 'FAT16 in MBR', (at) => at.boot16(19, 5)),
  boot('two lengths', 'FAT16 in MBR', (at) => at.boot32(32, 100_000)),
  boot('a FAT of 0 sectors', 'FAT16 bare', (at) => at.boot16(22, 0)),
  boot('a FAT of 0 sectors, FAT32', 'FAT32 in MBR', (at) => at.boot32(36, 0)),
  boot('a FAT of 2^32 - 1 sectors', 'FAT32 in MBR', (at) => at.boot32(36, 0xffffffff)),
  boot('a FAT of 1 sector', 'FAT16 in MBR', (at) => at.boot16(22, 1)),
  boot('a media byte of 0', 'FAT16 in MBR', (at) => at.boot8(21, 0)),
  boot('another media byte than the FAT', 'FAT16 in MBR', (at) => at.boot8(21, 0xf0)),
  boot('65,535 heads', 'FAT16 in MBR', (at) => at.boot16(26, 0xffff)),
  boot('58,853 sectors a track', 'FAT32 in MBR', (at) => at.boot16(24, 0xe5e5)),
  boot('no signature', 'FAT16 in MBR', (at) => at.boot16(510, 0)),
  boot('no signature, bare', 'FAT16 bare', (at) => at.boot16(510, 0)),
  boot('no jump', 'FAT16 in GPT', (at) => at.boot8(0, 0)),
  boot('no jump, bare', 'FAT12 bare', (at) => at.boot8(0, 0)),
  boot('a jump without its third byte, and bytes like a table at its end', 'FAT12 bare', (at) => {
    at.boot8(2, 0);
    at.bytes.set([0x80, 1, 1, 0, 0x0c, 1, 1, 1, 0x3f, 0, 0, 0, 0x00, 0x04, 0, 0], 446);
  }),
  boot('root at cluster 0', 'FAT32 in MBR', (at) => at.boot32(44, 0)),
  boot('root at cluster 2^32 - 1', 'FAT32 in MBR', (at) => at.boot32(44, 0xffffffff)),
  boot('another version of FAT32', 'FAT32 in MBR', (at) => at.boot16(42, 0x0100)),
  boot('an active FAT that is not there', 'FAT32 in MBR', (at) => at.boot16(40, 0x0085)),

  {
    what: 'backup boot sector differs',
    on: 'FAT32 in MBR',
    code: 'backup-boot-differs',
    severity: 'warn',
    plant: (at) => at.boot8(6 * 512 + 100, 7),
  },
  {
    what: 'volume longer than its partition',
    on: 'FAT16 in MBR',
    code: 'partition-size-mismatch',
    plant: (at) => at.view.setUint32(446 + 12, 6000, true),
  },
  {
    what: 'volume longer than the card',
    on: 'FAT16 bare',
    code: 'partition-size-mismatch',
    plant: (at) => at.bytes.slice(0, 2 * megabyte),
  },
  {
    what: 'volume 64 sectors shorter',
    on: 'FAT16 bare',
    code: 'partition-size-mismatch',
    severity: 'warn',
    plant: (at) => lengthen(at.bytes, 64 * 512),
  },
  {
    what: 'partition beyond the card',
    on: 'FAT16 in MBR',
    code: 'partition-beyond-card',
    plant: (at) => at.view.setUint32(446 + 12, 90_000, true),
  },
  {
    what: 'partition that begins beyond the card',
    on: 'FAT16 in MBR',
    code: 'partition-beyond-card',
    plant: (at) => at.view.setUint32(446 + 8, 0xfffffff0, true),
  },
  {
    what: 'card cut short',
    on: 'FAT32 in MBR',
    code: 'partition-beyond-card',
    plant: (at) => at.bytes.slice(0, 20 * megabyte),
  },
  {
    what: 'a second partition',
    on: 'FAT16 in MBR',
    code: 'several-partitions',
    plant: (at) => entry(at, 1, 0, 0x0c, 100, 100),
  },
  {
    what: 'an extended partition beside it',
    on: 'FAT16 in MBR',
    code: 'several-partitions',
    plant: (at) => entry(at, 1, 0, 0x05, 100, 100),
  },
  {
    what: 'an extended partition alone',
    on: 'FAT16 in MBR',
    code: 'partition-table-not-allowed',
    plant: (at) => at.view.setUint8(446 + 4, 0x0f),
  },
  {
    what: 'an active flag of 7F',
    on: 'FAT16 in MBR',
    code: 'partition-table-not-allowed',
    plant: (at) => at.view.setUint8(446, 0x7f),
  },
  {
    what: 'a length of 0 in the table',
    on: 'FAT16 in MBR',
    code: 'partition-table-not-allowed',
    plant: (at) => at.view.setUint32(446 + 12, 0, true),
  },
  {
    what: 'the type byte of Linux',
    on: 'FAT16 in MBR',
    code: 'partition-table-not-allowed',
    plant: (at) => at.view.setUint8(446 + 4, 0x83),
  },
  {
    what: 'the type byte of FAT16 on FAT32',
    on: 'FAT32 in MBR',
    code: 'partition-table-not-allowed',
    plant: (at) => at.view.setUint8(446 + 4, 0x06),
  },
  {
    what: 'a table that the rule does not list',
    on: 'FAT16 in MBR',
    code: 'partition-table-not-allowed',
    rule: { partitionTables: ['none', 'gpt'] },
  },
  {
    what: 'no table where the rule wants one',
    on: 'FAT16 bare',
    code: 'partition-table-not-allowed',
    rule: { partitionTables: ['mbr'] },
  },
  {
    what: 'GPT: first header damaged',
    on: 'FAT16 in GPT',
    code: 'partition-table-not-allowed',
    plant: (at) => at.view.setUint8(512 + 24, 9),
  },
  {
    what: 'GPT: first entries damaged',
    on: 'FAT16 in GPT',
    code: 'partition-table-not-allowed',
    plant: (at) => at.view.setUint8(2 * 512 + 33, 9),
  },
  {
    what: 'GPT: both headers damaged',
    on: 'FAT16 in GPT',
    code: 'partition-table-not-allowed',
    plant: (at) => {
      at.view.setUint8(512, 0);
      at.view.setUint8(at.bytes.length - 512, 0);
    },
  },
  {
    what: 'GPT: absurd entry count',
    on: 'FAT16 in GPT',
    code: 'partition-table-not-allowed',
    plant: (at) => at.view.setUint32(512 + 80, 0xffffffff, true),
  },
  {
    what: 'GPT: another partition beside the protective one',
    on: 'FAT16 in GPT',
    code: 'partition-table-not-allowed',
    plant: (at) => entry(at, 1, 0, 0x0c, 2048, 100),
  },
  {
    what: 'GPT: no protective entry',
    on: 'FAT16 in GPT',
    code: 'partition-table-not-allowed',
    plant: (at) => entry(at, 0, 0, 0, 0, 0),
  },
  {
    what: 'a file system that the rule does not list',
    on: 'FAT12 bare',
    code: 'file-system-not-allowed',
    rule: { fileSystems: ['fat16', 'fat32'] },
  },
  {
    what: 'NTFS',
    on: 'FAT16 bare',
    code: 'file-system-not-allowed',
    tools: (path) => mkfs(path, ['mkfs.ntfs', '-F', '-q', '-s', '512', '-p', '0', '-H', '1', '-S', '1']),
  },
  {
    what: 'exFAT',
    on: 'FAT16 bare',
    code: 'file-system-not-allowed',
    plant: () => makeExfatBytes({ sizeBytes: 4 * megabyte, files }),
  },
  {
    what: 'ext4',
    on: 'FAT16 bare',
    code: 'file-system-not-allowed',
    tools: (path) => mkfs(path, ['mkfs.ext4', '-q', '-F']),
  },
  {
    what: 'ext2',
    on: 'FAT16 bare',
    code: 'file-system-not-allowed',
    tools: (path) => mkfs(path, ['mkfs.ext2', '-q', '-F']),
  },
  {
    what: 'a blank card',
    on: 'FAT16 bare',
    code: 'file-system-not-allowed',
    rule: { partitionTables: ['mbr'] },
    plant: (at) => void at.bytes.fill(0),
  },
  {
    what: 'a table without a partition',
    on: 'FAT16 in MBR',
    code: 'file-system-not-allowed',
    plant: (at) => entry(at, 0, 0, 0, 0, 0),
  },
  {
    what: 'a partition with nothing in it',
    on: 'FAT16 in MBR',
    code: 'file-system-not-allowed',
    plant: (at) => void at.bytes.fill(0, megabyte),
  },
  {
    what: 'too small by one byte',
    on: 'FAT16 bare',
    code: 'capacity-too-small',
    rule: { capacity: { minBytes: 3 * megabyte + 1, maxBytes: 1e9 } },
  },
  {
    what: 'too large by more than two in a hundred',
    on: 'FAT16 bare',
    code: 'capacity-too-large',
    rule: { capacity: { minBytes: 1, maxBytes: Math.ceil((3 * megabyte) / 1.02) - 1 } },
  },
  { what: 'clusters too large', on: 'FAT16 bare', code: 'cluster-too-large', rule: { maxClusterBytes: 511 } },
  {
    what: 'partition not active',
    on: 'FAT16 in MBR',
    code: 'partition-not-active',
    rule: { activePartition: true },
  },

  ...every.map(
    (on): Fault => ({
      what: `dirty bit in the boot sector, ${on}`,
      on,
      code: 'volume-dirty',
      plant: (at) => at.boot8(at.bits === 32 ? 0x41 : 0x25, 0x01),
    }),
  ),
  ...every.map(
    (on): Fault => ({
      what: `error bit in the boot sector, ${on}`,
      on,
      code: 'volume-error-flag',
      plant: (at) => at.boot8(at.bits === 32 ? 0x41 : 0x25, 0x02),
    }),
  ),
  ...every.slice(1).map(
    (on): Fault => ({
      what: `dirty bit in the FAT, ${on}`,
      on,
      code: 'volume-dirty',
      plant: (at) => at.setFat(1, at.endMark & ~(at.bits === 16 ? 0x8000 : 0x08000000)),
    }),
  ),
  ...every.slice(1).map(
    (on): Fault => ({
      what: `error bit in the FAT, ${on}`,
      on,
      code: 'volume-error-flag',
      plant: (at) => at.setFat(1, at.endMark & ~(at.bits === 16 ? 0x4000 : 0x04000000)),
    }),
  ),
  {
    what: 'dirty bit in the second FAT alone',
    on: 'FAT16 bare',
    code: 'volume-dirty',
    plant: (at) => at.setFat(1, 0x7fff, 1),
  },
  ...every.map(
    (on): Fault => ({
      what: `a free cluster is taken in the second FAT, ${on}`,
      on,
      code: 'fat-copies-differ',
      plant: (at) => at.setFat(at.freeCluster(), at.endMark, 1),
    }),
  ),

  {
    what: 'reserved bits of the second FAT',
    on: 'FAT32 in MBR',
    code: 'fat-copies-differ',
    plant: (at) => at.view.setUint8(at.fatAt + at.fatBytes + 4 * 5 + 3, 0xf0),
  },

  ...every.flatMap((on): Fault[] => [
    chain(`leads beyond the volume, ${on}`, on, (at) =>
      at.setFat(at.chain(at.entry(entryName))[4]!, at.clusters + 2),
    ),
    chain(`leads to cluster 1, ${on}`, on, (at) => at.setFat(at.chain(at.entry(entryName))[4]!, 1)),
    chain(`leads to a free cluster, ${on}`, on, (at) =>
      at.setFat(at.chain(at.entry(entryName))[4]!, at.freeCluster()),
    ),
    chain(`a free cluster in it, ${on}`, on, (at) => at.setFat(at.chain(at.entry(entryName))[4]!, 0)),
    chain(`a bad cluster in it, ${on}`, on, (at) => at.setFat(at.chain(at.entry(entryName))[4]!, at.badMark)),
    chain(`ends too early, ${on}`, on, (at) => at.setFat(at.chain(at.entry(entryName))[4]!, at.endMark)),
    chain(`goes on too long, ${on}`, on, (at) => {
      const clusters = at.chain(at.entry(entryName));
      const more = at.freeCluster();
      at.setFat(clusters.at(-1)!, more);
      at.setFat(more, at.endMark);
    }),
    chain(`begins nowhere, ${on}`, on, (at) => at.setFirstCluster(at.entry(entryName), 0)),
    chain(`begins beyond the volume, ${on}`, on, (at) =>
      at.setFirstCluster(at.entry(entryName), at.clusters + 2),
    ),
    {
      what: `chain: runs in a circle, ${on}`,
      on,
      code: 'chain-loop',
      plant: (at) => {
        const clusters = at.chain(at.entry(entryName));
        at.setFat(clusters.at(-1)!, clusters[3]!);
      },
    },
    {
      what: `chain: leads to itself, ${on}`,
      on,
      code: 'chain-loop',
      plant: (at) => {
        const [first] = at.chain(at.entry(entryName));
        at.setFat(first!, first!);
      },
    },
  ]),
  chain('the length in the entry is another', 'FAT16 bare', (at) =>
    at.view.setUint32(at.entry(entryName) + 28, 50_000, true),
  ),
  chain('a length of 4 GiB - 1', 'FAT32 in MBR', (at) =>
    at.view.setUint32(at.entry(entryName) + 28, 0xffffffff, true),
  ),
  {
    what: 'a stray’s chain runs into the image',
    on: 'FAT16 with folders',
    code: 'cross-linked',
    rule: mixed,
    plant: (at) => {
      const note = at.entry('NOTE    TXT');
      at.setFat(at.chain(note)[0]!, at.chain(at.entry(entryName))[8]!);
    },
  },
  {
    what: 'a folder’s first cluster is a file’s',
    on: 'FAT32 with folders',
    code: 'cross-linked',
    rule: mixed,
    plant: (at) => {
      at.setFirstCluster(at.entry('MORE       '), at.firstCluster(at.entry('NOTE    TXT')));
    },
  },
  {
    what: 'the root’s chain runs into a file',
    on: 'FAT32 in MBR',
    code: 'cross-linked',
    plant: (at) => at.setFat(2, at.firstCluster(at.entry(entryName))),
  },

  directory('a control character in a name', (at) => at.view.setUint8(at.entry('NOTE    TXT') + 1, 0x07)),
  directory('a lower-case letter in a short name', (at) =>
    at.view.setUint8(at.entry('NOTE    TXT') + 1, 0x6f),
  ),
  directory('a blank at the start of a name', (at) => at.view.setUint8(at.entry('NOTE    TXT'), 0x20)),
  directory('a reserved character in a name', (at) => at.view.setUint8(at.entry('NOTE    TXT') + 1, 0x2f)),
  directory('the image’s own name is damaged', (at) => at.view.setUint8(at.entry(entryName) + 2, 0x01)),
  directory('a long name with a wrong check sum', (at) =>
    at.view.setUint8(at.entry('ALONGE~1TXT') - 32 + 13, 0x55),
  ),
  directory('a long name out of order', (at) => at.view.setUint8(at.entry('ALONGE~1TXT') - 32, 0x03)),
  directory('a long name without its first part', (at) =>
    at.view.setUint8(at.entry('ALONGE~1TXT') - 64, 0xe5),
  ),
  directory('a long name whose file is deleted', (at) => at.view.setUint8(at.entry('ALONGE~1TXT'), 0xe5)),
  directory('a long name of type 1', (at) => at.view.setUint8(at.entry('ALONGE~1TXT') - 32 + 12, 1)),
  directory('a separator in a long name', (at) => at.view.setUint8(at.entry('ALONGE~1TXT') - 32 + 3, 0x2f)),
  directory('an entry behind the end', (at) =>
    at.bytes.set(at.bytes.slice(at.rootAt, at.rootAt + 32), at.rootAt + 400 * 32),
  ),
  directory('the same name twice', (at) =>
    at.bytes.set(Buffer.from('NOTE    TXT'), at.entry('ALONGE~1TXT') + 0),
  ),
  directory('two volume labels', (at) => {
    const end = at.entry('DOCS       ') + 32;
    at.bytes.set(Buffer.from('SECOND     \x08', 'latin1'), end);
  }),
  directory('a volume label in a folder', (at) => {
    const note = at.entry('NOTE    TXT');
    at.view.setUint8(note + 11, 0x08);
  }),
  directory('a label that is a file', (at) => at.setFirstCluster(at.entry('CARD       '), 9)),
  directory('a label with a control character', (at) => at.view.setUint8(at.entry('CARD       ') + 2, 7)),
  directory('attributes that do not exist', (at) => at.view.setUint8(at.entry('NOTE    TXT') + 11, 0xa0)),
  directory('a label that is a folder', (at) => at.view.setUint8(at.entry('CARD       ') + 11, 0x18)),
  directory('“.” leads elsewhere', (at) =>
    at.setFirstCluster(at.clusterAt(at.firstCluster(at.entry('MORE       '))), 3),
  ),
  directory('“..” leads elsewhere', (at) =>
    at.setFirstCluster(at.clusterAt(at.firstCluster(at.entry('MORE       '))) + 32, 3),
  ),
  directory('“..” is missing', (at) =>
    at.bytes.set(Buffer.from('AWAY       '), at.clusterAt(at.firstCluster(at.entry('MORE       '))) + 32),
  ),
  directory('a folder that is in itself', (at) =>
    at.setFirstCluster(at.entry('MORE       '), at.firstCluster(at.entry('DOCS       '))),
  ),
  directory('a folder that leads to the root', (at) => at.setFirstCluster(at.entry('MORE       '), 0)),
  directory(
    'a folder that leads to the root, FAT32',
    (at) => at.setFirstCluster(at.entry('MORE       '), 2),
    'FAT32 with folders',
  ),
  directory('a folder with a length', (at) => at.view.setUint32(at.entry('DOCS       ') + 28, 512, true)),
  directory('garbage for a folder', (at) =>
    at.bytes.set(firmwareBytes(512, 9), at.clusterAt(at.firstCluster(at.entry('MORE       ')))),
  ),

  {
    what: 'taken space that no file has',
    on: 'FAT16 bare',
    code: 'lost-clusters',
    severity: 'warn',
    plant: (at) => at.setFat(at.freeCluster(), at.endMark),
  },
  {
    what: 'the count of free clusters is wrong',
    on: 'FAT32 in MBR',
    code: 'free-count-wrong',
    severity: 'note',
    plant: (at) => at.boot32(512 + 488, 17),
  },
  {
    what: 'the release is withdrawn',
    on: 'FAT16 bare',
    code: 'withdrawn',
    release: releaseFor(image, { withdrawn: { on: '2026-11-02', why: 'it does not start' } }),
  },

  {
    what: 'nothing on the card',
    on: 'FAT16 bare',
    code: 'image-missing',
    tools: (path, card) => void mtool('mdel', path, card, ['::/RILL40.FWU']),
  },
  {
    what: 'another name',
    on: 'FAT16 bare',
    code: 'image-misnamed',
    tools: (path, card) => void mtool('mren', path, card, ['::/RILL40.FWU', '::/RILL40-1.FWU']),
  },
  {
    what: 'a browser’s name',
    on: 'FAT32 in MBR',
    code: 'image-misnamed',
    tools: (path, card) => void mtool('mren', path, card, ['::/RILL40.FWU', '::/RILL40 (1).FWU']),
  },
  {
    what: 'in a folder',
    on: 'FAT16 bare',
    code: 'image-misplaced',
    tools: (path, card) => {
      mtool('mmd', path, card, ['::/FW']);
      mtool('mmove', path, card, ['::/RILL40.FWU', '::/FW']);
    },
  },
  {
    what: 'in a folder under another name',
    on: 'FAT16 bare',
    code: 'image-misplaced',
    tools: (path, card) => {
      mtool('mdel', path, card, ['::/RILL40.FWU']);
      putFile(path, card, 'FW/new.fwu', image);
    },
  },
  {
    what: 'in the root, but its folder is FW',
    on: 'FAT16 bare',
    code: 'image-misplaced',
    release: releaseFor(image, { folder: 'FW' }),
  },
  {
    what: 'in lower case',
    on: 'FAT16 bare',
    code: 'image-long-name',
    tools: (path, card) => {
      mtool('mdel', path, card, ['::/RILL40.FWU']);
      putFile(path, card, 'rill40.fwu', image);
    },
  },
  {
    what: 'in mixed case',
    on: 'FAT32 in MBR',
    code: 'image-long-name',
    tools: (path, card) => {
      mtool('mdel', path, card, ['::/RILL40.FWU']);
      putFile(path, card, 'Rill40.Fwu', image);
    },
  },
  {
    what: 'NT’s bits for lower case',
    on: 'FAT16 bare',
    code: 'image-long-name',
    plant: (at) => at.view.setUint8(at.entry(entryName) + 12, 0x18),
  },
  {
    what: 'hidden, as some systems mark files',
    on: 'FAT16 bare',
    code: 'image-hidden',
    severity: 'warn',
    plant: (at) => at.view.setUint8(at.entry(entryName) + 11, 0x22),
  },
  {
    what: 'a file of the system, and only to be read',
    on: 'FAT32 in MBR',
    code: 'image-hidden',
    severity: 'warn',
    plant: (at) => at.view.setUint8(at.entry(entryName) + 11, 0x25),
  },
  {
    what: 'a byte too short',
    on: 'FAT16 bare',
    code: 'image-size-mismatch',
    plant: (at) => at.view.setUint32(at.entry(entryName) + 28, 4999, true),
  },
  {
    what: 'cut to half',
    on: 'FAT32 in MBR',
    code: 'image-size-mismatch',
    tools: (path, card) => putFile(path, card, 'RILL40.FWU', image.slice(0, 2500)),
  },
  {
    what: 'empty',
    on: 'FAT16 bare',
    code: 'image-size-mismatch',
    tools: (path, card) => putFile(path, card, 'RILL40.FWU', new Uint8Array()),
  },
  {
    what: 'one bit flipped',
    on: 'FAT32 in MBR',
    code: 'image-digest-mismatch',
    plant: (at) => {
      const where = at.clusterAt(at.chain(at.entry(entryName))[5]!) + 77;
      at.bytes[where] = at.bytes[where]! ^ 0x10;
    },
  },
  {
    what: 'one of several digests differs',
    on: 'FAT16 bare',
    code: 'image-digest-mismatch',
    release: releaseFor(image, { digests: { ...release.image.digests, crc32: '00000000' } }),
  },
  {
    what: 'in two pieces',
    on: 'FAT16 bare',
    code: 'image-fragmented',
    rule: { contiguous: true },
    plant: (at) => moveCluster(at, 4),
  },
  {
    what: 'behind others',
    on: 'FAT16 bare',
    code: 'image-slot-too-late',
    rule: { rootSlots: 2 },
    tools: (path, card) => {
      mtool('mdel', path, card, ['::/RILL40.FWU']);
      putFile(path, card, 'A LONG NAME THAT TAKES THREE ENTRIES', firmwareBytes(10));
      putFile(path, card, 'RILL40.FWU', image);
      mtool('mdel', path, card, ['::/A LONG NAME THAT TAKES THREE ENTRIES']);
    },
  },
  {
    what: 'an older release in its place',
    on: 'FAT16 bare',
    code: 'other-image',
    tools: (path, card) => putFile(path, card, 'RILL40.FWU', older),
  },
  {
    what: 'an older release under its own name',
    on: 'FAT32 in MBR',
    code: 'other-image',
    tools: (path, card) => {
      mtool('mdel', path, card, ['::/RILL40.FWU']);
      putFile(path, card, 'RILL39.FWU', older);
    },
  },
  {
    what: 'a second file',
    on: 'FAT16 bare',
    code: 'stray-file',
    tools: (path, card) => putFile(path, card, 'README.TXT', firmwareBytes(10)),
  },
  {
    what: 'a camera’s pictures',
    on: 'FAT32 in MBR',
    code: 'stray-file',
    tools: (path, card) => putFile(path, card, 'DCIM/100/PIC.JPG', firmwareBytes(10)),
  },
  {
    what: 'an empty folder',
    on: 'FAT16 bare',
    code: 'stray-file',
    tools: (path, card) => void mtool('mmd', path, card, ['::/EMPTY']),
  },
  {
    what: 'a second copy of the image',
    on: 'FAT16 bare',
    code: 'stray-file',
    tools: (path, card) => putFile(path, card, 'COPY.FWU', image),
  },
  {
    what: 'what Windows leaves',
    on: 'FAT32 in MBR',
    code: 'litter',
    tools: (path, card) =>
      putFile(path, card, 'System Volume Information/IndexerVolumeGuid', firmwareBytes(76)),
  },
  {
    what: 'what macOS leaves beside the image',
    on: 'FAT16 bare',
    code: 'litter',
    tools: (path, card) => putFile(path, card, '._RILL40.FWU', firmwareBytes(4096)),
  },
  {
    what: 'an empty folder of litter',
    on: 'FAT16 bare',
    code: 'litter',
    tools: (path, card) => void mtool('mmd', path, card, ['::/.Trash-1000']),
  },
  {
    what: 'other files where the rule lets them be',
    on: 'FAT16 bare',
    code: 'strays-allowed',
    severity: 'note',
    rule: mixed,
    tools: (path, card) => putFile(path, card, 'README.TXT', firmwareBytes(10)),
  },
  {
    what: 'no room',
    on: 'FAT12 bare',
    code: 'no-room',
    rule: mixed,
    tools: (path, card) => {
      mtool('mdel', path, card, ['::/RILL40.FWU']);
      putFile(path, card, 'BIG.BIN', firmwareBytes(megabyte - 27_000));
    },
  },
  {
    what: 'larger than the card',
    on: 'FAT12 bare',
    code: 'no-room',
    release: releaseFor(firmwareBytes(2 * megabyte)),
    tools: (path, card) => void mtool('mdel', path, card, ['::/RILL40.FWU']),
  },
];

function lengthen(bytes: Uint8Array, by: number): Uint8Array {
  const longer = new Uint8Array(bytes.length + by);
  longer.set(bytes);
  return longer;
}

function entry(
  at: Plant,
  index: number,
  status: number,
  type: number,
  startLba: number,
  sectors: number,
): void {
  const where = 446 + index * 16;
  at.bytes.fill(0, where, where + 16);
  at.view.setUint8(where, status);
  at.view.setUint8(where + 4, type);
  at.view.setUint32(where + 8, startLba, true);
  at.view.setUint32(where + 12, sectors, true);
}

/** Moves one cluster of the image away and links it in again: the same bytes in three pieces. */
function moveCluster(at: Plant, index: number): void {
  const clusters = at.chain(at.entry(entryName));
  const from = clusters[index]!;
  const to = at.freeCluster(20);
  at.bytes.copyWithin(at.clusterAt(to), at.clusterAt(from), at.clusterAt(from) + at.clusterBytes);
  at.setFat(to, at.fat(from));
  at.setFat(clusters[index - 1]!, to);
  at.setFat(from, 0);
}

function mkfs(path: string, command: readonly string[]): void {
  makeSparseFile(path, 8 * megabyte);
  execFileSync(command[0]!, [...command.slice(1), path], { stdio: 'ignore' });
}

async function check(
  bytes: Uint8Array,
  rule: Partial<CardRule> = {},
  asked: Release = release,
): Promise<CheckedCard> {
  const blocks = memoryBlocks(bytes);
  return checkCard(examineCard(blocks), blocks, {
    wanted: { release: asked, rule: cardRule(rule) },
    known: [olderRelease, asked],
    writeProtected: false,
  });
}

const codes = (checked: CheckedCard, severity: string): string[] =>
  checked.findings.filter((one) => one.severity === severity).map((one) => one.code);

describe.each(Object.keys(cards) as CardName[])('%s', (name) => {
  test('is ready before anything is planted', async () => {
    const rule = name.endsWith('folders') ? mixed : {};
    const checked = await check(made.get(name)!.slice(), rule);
    expect(codes(checked, 'stop')).toEqual([]);
    expect(codes(checked, 'warn')).toEqual([]);
    expect(checked.verdict).toBe('ready');
  });
});

describe('planted', () => {
  test.each(faults.map((fault) => [`${fault.what} (${fault.on}) -> ${fault.code}`, fault] as const))(
    '%s',
    async (_, fault) => {
      const recipe = cards[fault.on];
      let bytes: Uint8Array = made.get(fault.on)!.slice();
      if (fault.tools) {
        const path = join(folder, 'fault.img');
        writeFileSync(path, bytes);
        fault.tools(path, recipe);
        bytes = new Uint8Array(readFileSync(path));
      }
      const replaced = fault.plant?.(new Plant(bytes, volumeStartSector(recipe)));
      if (replaced instanceof Uint8Array) bytes = replaced;
      const checked = await check(bytes, fault.rule, fault.release);
      const severity = fault.severity ?? 'stop';
      expect([...new Set(codes(checked, 'stop'))]).toEqual(severity === 'stop' ? [fault.code] : []);
      expect(codes(checked, severity)).toContain(fault.code);
      const kind: 'unfit' | 'fixable' | undefined = (cardCodes[fault.code] as { kind?: 'unfit' | 'fixable' })
        .kind;
      expect(checked.verdict).toBe(severity === 'stop' ? kind : 'ready');
      for (const one of checked.findings) {
        expect(one.summary).not.toBe('');
        expect(one.next).not.toBe('');
      }
    },
  );
});

test('there are faults for every code of a card but what needs a real one, or a unit', () => {
  const planted = new Set(faults.map((fault) => fault.code));
  const elsewhere = [
    // Of exFAT: planted-exfat.test.ts, and what `prepare` says of such a card.
    ...['written-by-mount', 'bitmap-wrong'],
    // Of GPT: planted-gpt.test.ts.
    ...['gpt-copy-differs', 'gpt-protection-odd'],
    ...['not-examined', 'write-protected'],
    // Of cards that are looked at and written by their files.
    ...['rule-needs-device', 'entry-unknown', 'not-read-from-card', 'cleaned-last'],
    // Beside a stop or a result: tests/cli/cards-known.test.ts.
    ...['changed-by-unit', 'result-on-card'],
    // Of a record that cannot be read: tests/cli/withdraw.test.ts.
    'withdrawals-unread',
  ];
  const unplanted = Object.keys(cardCodes).filter((code) => !planted.has(code as CardCode));
  expect(unplanted.sort()).toEqual(elsewhere.sort());
  expect(faults.length).toBeGreaterThan(100);
});
