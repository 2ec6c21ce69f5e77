// How the rules work together: what is told, what is not told because it only follows, in which order, and what is
// read of a card that states absurd things.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { type CheckedCard, checkCard } from '../../../../src/card/check/check-card.ts';
import { examineCard } from '../../../../src/card/look/examine-card.ts';
import type { CardRule, Release } from '../../../../src/manifest/schema.ts';
import type { BlockReader } from '../../../../src/ports/blocks.ts';
import {
  type CardRecipe,
  makeCardBytes,
  makeCardFile,
  mtool,
  putFile,
  temporaryFolder,
} from '../../../support/card-images.ts';
import { cardRule, firmwareBytes, releaseFor } from '../../../support/card-rule.ts';
import { memoryBlocks } from '../../../support/memory-blocks.ts';
import { Plant } from '../../../support/plant.ts';

const image = firmwareBytes(3000);
const release = releaseFor(image);
const older = firmwareBytes(3000, 2);
const olderRelease = releaseFor(older, { version: '4.1.0', sequence: 16 });
const bare: CardRecipe = { sizeBytes: 1 << 20, table: 'none', bits: 12, sectorsPerCluster: 1 };
const put = (path: string, bytes: Uint8Array) => ({ path, bytes });

async function checked(
  bytes: Uint8Array | BlockReader,
  rule: Partial<CardRule> = {},
  asked: Release | null = release,
): Promise<CheckedCard> {
  const blocks = bytes instanceof Uint8Array ? memoryBlocks(bytes) : bytes;
  return checkCard(examineCard(blocks), blocks, {
    wanted: asked === null ? undefined : { release: asked, rule: cardRule(rule) },
    known: [olderRelease, release],
    writeProtected: false,
  });
}

const codes = ({ findings }: CheckedCard): string[] => findings.map((one) => one.code);

describe('capacity: of the whole card, both ends included, two in a hundred over the upper one', () => {
  const reader = (sizeBytes: number): BlockReader => ({
    sizeBytes,
    sectorBytes: 512,
    read: (_, target) => void target.fill(0),
  });
  const rule = { capacity: { minBytes: 1e9, maxBytes: 32e9 } };
  test.each([
    [1e9 - 512, 'capacity-too-small'],
    [1e9, undefined],
    [32e9, undefined],
    [32.64e9, undefined],
    [32.64e9 + 512, 'capacity-too-large'],
  ])('%i bytes', async (sizeBytes, code) => {
    const found = codes(await checked(reader(sizeBytes), rule)).filter((one) => one.startsWith('capacity'));
    expect(found).toEqual(code === undefined ? [] : [code]);
  });
});

describe('what sector 0 is', () => {
  test('a boot sector, though its last bytes look like a table', async () => {
    const bytes = makeCardBytes({ ...bare, files: [put('RILL40.FWU', image)] });
    bytes.set([0x80, 1, 1, 0, 0x0c, 1, 1, 1, 0x3f, 0, 0, 0, 0x00, 0x10, 0, 0], 446);
    const card = examineCard(memoryBlocks(bytes));
    expect(card).toMatchObject({ partitionTable: 'none', fileSystem: 'fat12' });
    expect((await checked(bytes)).verdict).toBe('ready');
  });

  test('a boot sector, though the third byte of its jump is another, and never ready', async () => {
    const files = [put('RILL40.FWU', image)];
    const bytes = makeCardBytes({ ...bare, table: 'mbr', startSector: 64, files });
    expect((await checked(bytes)).verdict).toBe('ready');
    // Another reader would take sector 0 for a volume, and this one was reading on to the partition.
    bytes.set(bytes.slice(64 * 512, 64 * 512 + 36), 0);
    bytes[2] = 0;
    expect(examineCard(memoryBlocks(bytes)).partitionTable).toBe('none');
    expect((await checked(bytes)).verdict).toBe('unfit');
  });

  test('a table, though its boot code begins with a jump', () => {
    const bytes = makeCardBytes({ ...bare, table: 'mbr', startSector: 64 });
    bytes.set([0xeb, 0x63, 0x90], 0);
    expect(examineCard(memoryBlocks(bytes))).toMatchObject({
      partitionTable: 'mbr',
      fileSystem: 'fat12',
      findings: [],
    });
  });

  test.each([0, 1, 100, 511, 512, 513, 1000, 2048])('a card of %i bytes of nothing', async (length) => {
    for (const fill of [0, 0xff, 0x55]) {
      const result = await checked(new Uint8Array(length).fill(fill), {}, null);
      expect(codes(result)).toEqual(['file-system-not-allowed']);
      expect(result.verdict).toBe('unsound');
    }
  });
});

describe('with a look alone', () => {
  test('files are recognised as images of releases that are known; strays and litter are no fault', async () => {
    const files = [put('OLD.FWU', older), put('NOTE.TXT', image.slice(1)), put('.DS_Store', image.slice(2))];
    const result = await checked(makeCardBytes({ ...bare, files }), {}, null);
    expect(result.verdict).toBe('sound');
    expect(codes(result)).toEqual([]);
    expect([...result.recognised.values()].map((one) => one.version)).toEqual(['4.1.0']);
    const card = examineCard(memoryBlocks(makeCardBytes({ ...bare, files })));
    expect(card.volume!.nodes.map((node) => result.roleOf(node))).toEqual(['stray', 'stray', 'litter']);
  });
});

describe('where the rule lets other files be', () => {
  test('strays and litter are notes, and one says that they may stay', async () => {
    const files = [put('RILL40.FWU', image), put('NOTE.TXT', older), put('Thumbs.db', older)];
    const result = await checked(makeCardBytes({ ...bare, files }), { onlyFile: false });
    expect(result.verdict).toBe('ready');
    expect(result.findings.map((one) => `${one.severity} ${one.code}`).sort()).toEqual([
      'note litter',
      'note stray-file',
      'note strays-allowed',
    ]);
  });
});

describe('names', () => {
  const made = (path: string) => makeCardBytes({ ...bare, files: [put(path, image)] });
  test('where long names are allowed, case does not matter', async () => {
    for (const path of ['RILL40.FWU', 'rill40.fwu', 'Rill40.Fwu']) {
      expect((await checked(made(path), { shortNameOnly: false })).verdict).toBe('ready');
    }
  });

  test('a long name of the manifest is found where it is allowed', async () => {
    const asked = releaseFor(image, { name: 'rill-40 firmware.fwu' });
    expect((await checked(made('rill-40 firmware.fwu'), { shortNameOnly: false }, asked)).verdict).toBe(
      'ready',
    );
    expect(codes(await checked(made('RILL40.FWU'), { shortNameOnly: false }, asked))).toEqual([
      'image-misnamed',
    ]);
  });

  /** The folder LOAD of the card gets the short name QX, and shows LOAD as its long name only. */
  function hiddenFolder(): Uint8Array {
    const bytes = makeCardBytes({ ...bare, files: [put('Load/RILL40.FWU', image)] });
    const at = new Plant(bytes).entry('LOAD       ');
    bytes.set(Buffer.from('QX         ', 'latin1'), at);
    let sum = 0;
    for (const byte of bytes.subarray(at, at + 11)) sum = (((sum & 1) << 7) + (sum >> 1) + byte) & 0xff;
    bytes[at - 32 + 13] = sum;
    return bytes;
  }

  test('a unit that reads short names does not enter a folder by its long one', async () => {
    const asked = releaseFor(image, { folder: 'LOAD' });
    const bytes = hiddenFolder();
    for (const onlyFile of [true, false]) {
      const result = await checked(bytes, { onlyFile }, asked);
      expect(result.verdict).toBe('fixable');
      const told = result.findings.find((one) => one.code === 'image-misplaced');
      expect(told).toMatchObject({ seen: 'Load (short: QX)/RILL40.FWU', expected: 'LOAD/RILL40.FWU' });
    }
    expect((await checked(bytes, { shortNameOnly: false }, asked)).verdict).toBe('ready');
  });

  test('only A to Z have another case: a Kelvin sign is no k', async () => {
    const asked = releaseFor(image, { name: 'kerb-22 firmware.fwu' });
    const bytes = makeCardBytes({ ...bare, files: [put('Kerb-22 firmware.fwu', image)] });
    const rule = { shortNameOnly: false };
    expect((await checked(bytes, rule, asked)).verdict).toBe('ready');
    // Its characters in the long-name slot begin at byte 1.
    bytes.set([0x2a, 0x21], new Plant(bytes).entry('KERB-2') - 32 + 1);
    const result = await checked(bytes, rule, asked);
    expect(result.verdict).toBe('fixable');
    expect(codes(result)).toContain('image-misnamed');
  });

  test('the image’s own folders are no strays; others in them are', async () => {
    const asked = releaseFor(image, { folder: 'FW/LOAD' });
    const files = [put('FW/LOAD/RILL40.FWU', image)];
    expect((await checked(makeCardBytes({ ...bare, files }), {}, asked)).verdict).toBe('ready');
    const more = [...files, put('FW/A.TXT', older), put('FW/LOAD/B.TXT', older)];
    const result = await checked(makeCardBytes({ ...bare, files: more }), {}, asked);
    expect(codes(result)).toEqual(['stray-file']);
    expect(result.findings[0]?.seen).toBe('FW/A.TXT, FW/LOAD/B.TXT');
  });
});

describe('what only follows is not told', () => {
  test('many strays are one finding that says how many', async () => {
    const files = Array.from({ length: 9 }, (_, i) => put(`S${i}.TXT`, image.slice(i + 1)));
    const result = await checked(makeCardBytes({ ...bare, files: [put('RILL40.FWU', image), ...files] }));
    expect(codes(result)).toEqual(['stray-file']);
    expect(result.findings[0]?.seen).toContain('and 5 more');
  });

  test('a damaged folder may hide the image: then it is not called missing', async () => {
    const bytes = makeCardBytes({ ...bare, files: [put('DOCS/NOTE.TXT', older)] });
    const plant = new Plant(bytes);
    plant.setFirstCluster(plant.entry('DOCS       '), 0);
    expect(codes(await checked(bytes, { onlyFile: false }))).not.toContain('image-missing');
    expect(codes(await checked(bytes, { onlyFile: false }))).toContain('directory-damaged');
  });

  test('an unset count of free clusters is no news', async () => {
    const bytes = makeCardBytes({
      sizeBytes: 36 << 20,
      table: 'none',
      bits: 32,
      sectorsPerCluster: 1,
      files: [put('RILL40.FWU', image)],
    });
    new Plant(bytes).boot32(512 + 488, 0xffffffff);
    expect(codes(await checked(bytes))).toEqual([]);
  });

  test('litter is never taken for the image, nor searched for its bytes', async () => {
    const result = await checked(makeCardBytes({ ...bare, files: [put('.Trashes/RILL40.FWU', image)] }));
    expect(codes(result)).toEqual(
      ['litter', 'image-missing'].sort((a, b) => codes(result).indexOf(a) - codes(result).indexOf(b)),
    );
    expect(result.image).toBeNull();
  });
});

test('the most important is last: notes, warnings, what prepare fixes, what it does not', async () => {
  const files = [put('RILL40.FWU', older.slice(1)), put('NOTE.TXT', older)];
  const bytes = makeCardBytes({ ...bare, files });
  const plant = new Plant(bytes);
  plant.setFat(plant.freeCluster(), plant.endMark);
  const blocks = memoryBlocks(bytes);
  const asked = releaseFor(image, {
    withdrawn: { on: '2026-11-02', why: 'no', doThis: 'Call the helpline' },
  });
  const result = await checkCard(examineCard(blocks), blocks, {
    wanted: { release: asked, rule: cardRule({ fileSystems: ['fat32'] }) },
    known: [],
    writeProtected: true,
  });
  const order = [
    'write-protected',
    'lost-clusters',
    'image-size-mismatch',
    'stray-file',
    'file-system-not-allowed',
    'withdrawn',
  ];
  expect(codes(result)).toEqual(order);
  expect(result.findings.at(-1)?.next).toBe('Call the helpline');
  expect(result.verdict).toBe('unfit');
});

describe('bounds', () => {
  test('a folder of more than 65,536 entries is told, and read no further', async () => {
    const recipe: CardRecipe = {
      sizeBytes: 12 << 20,
      table: 'none',
      bits: 16,
      sectorsPerCluster: 4,
      files: [put('RILL40.FWU', image), put('DOCS/NOTE.TXT', older)],
    };
    const bytes = makeCardBytes(recipe);
    const plant = new Plant(bytes);
    let last = plant.firstCluster(plant.entry('DOCS       '));
    for (let i = 0; i < 1024; i++) {
      const more = plant.freeCluster();
      plant.setFat(last, more);
      plant.setFat(more, plant.endMark);
      last = more;
    }
    const blocks = memoryBlocks(bytes);
    const card = examineCard(blocks);
    expect(card.findings.map((one) => one.code)).toEqual(['directory-damaged']);
    expect(card.findings[0]?.seen).toContain('more than 65,536 entries');
    expect(blocks.reads.bytes).toBeLessThan(3 << 20);
  });

  test('folders in folders in folders: no deeper than 64', async () => {
    const path = join(temporaryFolder(), 'card.img');
    makeCardFile(path, { ...bare, files: [put('RILL40.FWU', image)] });
    let at = '::';
    for (let depth = 0; depth < 70; depth++) {
      at += '/D';
      mtool('mmd', path, bare, [at]);
    }
    const card = examineCard(memoryBlocks(new Uint8Array(readFileSync(path))));
    expect(card.findings[0]?.seen).toContain('64 deep');
    expect(card.volume!.nodes.length).toBe(65);
  });

  test('2^28 clusters are refused before memory is asked for', async () => {
    const boot = makeCardBytes({ sizeBytes: 36 << 20, table: 'none', bits: 32, sectorsPerCluster: 1 }).slice(
      0,
      512,
    );
    const plant = new DataView(boot.buffer);
    const clusters = 0x0ffffff0;
    const sectorsPerFat = Math.ceil(((clusters + 2) * 4) / 512);
    plant.setUint32(36, sectorsPerFat, true);
    plant.setUint8(13, 8);
    plant.setUint32(32, 32 + 2 * sectorsPerFat + clusters * 8, true);
    let most = 0;
    const reader: BlockReader = {
      sizeBytes: (32 + 2 * sectorsPerFat + clusters * 8) * 512,
      sectorBytes: 512,
      read(offset, target) {
        most = Math.max(most, target.length);
        target.fill(0);
        if (offset === 0) target.set(boot.subarray(0, target.length));
      },
    };
    const result = await checked(reader, { capacity: { minBytes: 1, maxBytes: 2 ** 42 } });
    expect(codes(result)).toEqual(['boot-sector-bad']);
    expect(result.findings[0]?.seen).toContain('268,435,440 clusters');
    expect(most).toBeLessThan(1 << 20);
  });

  test('a FAT in which every file is in thousands of pieces is followed only so far', () => {
    // Every second cluster of a FAT32 volume, 33,000 pieces, is still followed.
    const bytes = makeCardBytes({
      sizeBytes: 36 << 20,
      table: 'none',
      bits: 32,
      sectorsPerCluster: 1,
      files: [put('BIG.BIN', new Uint8Array(512))],
    });
    const plant = new Plant(bytes);
    const entry = plant.entry('BIG     BIN');
    const chain: number[] = [];
    for (let cluster = 10; cluster < 66_000; cluster += 2) chain.push(cluster);
    plant.setFat(plant.firstCluster(entry), 0);
    plant.setFirstCluster(entry, chain[0]!);
    chain.forEach((cluster, i) => void plant.setFat(cluster, chain[i + 1] ?? plant.endMark));
    plant.view.setUint32(entry + 28, chain.length * 512, true);
    const card = examineCard(memoryBlocks(bytes));
    expect(card.volume!.nodes[0]).toMatchObject({ chain: 'sound', clusterCount: chain.length });
    expect(card.volume!.nodes[0]!.runs).toHaveLength(chain.length);
  });
});

describe('one reading of every byte', () => {
  let path = '';
  beforeAll(() => {
    path = join(temporaryFolder(), 'card.img');
    makeCardFile(path, bare);
    putFile(path, bare, 'RILL40.FWU', image);
  });

  test.each([0, 511, 512, 1499, 2999])('a wrong bit in byte %i is found', async (at) => {
    const bytes = new Uint8Array(readFileSync(path));
    const plant = new Plant(bytes);
    const first = plant.clusterAt(plant.firstCluster(plant.entry('RILL40  FWU')));
    expect((await checked(bytes)).verdict).toBe('ready');
    bytes[first + at] = bytes[first + at]! ^ 0x80;
    expect(codes(await checked(bytes))).toEqual(['image-digest-mismatch']);
  });

  test('what lies behind the file’s end does not count', async () => {
    const bytes = new Uint8Array(readFileSync(path));
    const plant = new Plant(bytes);
    bytes[plant.clusterAt(plant.firstCluster(plant.entry('RILL40  FWU'))) + 3000] = 1;
    expect((await checked(bytes)).verdict).toBe('ready');
  });
});
