// exFAT cards as stock tools make them and as fsck.exfat finds sound: everything on them is read, in one piece and along
// the FAT; names, folders, digests, roles; and whether a unit would take them.

import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { checkCard } from '../../../src/card/check/check-card.ts';
import { examineCard } from '../../../src/card/look/examine-card.ts';
import type { FileNode } from '../../../src/card/look/examined-card.ts';
import { digestFile, fileChunks } from '../../../src/card/look/read-file.ts';
import { cardRule, firmwareBytes, releaseFor } from '../../support/card-rule.ts';
import { ExfatPlant, type ExfatRecipe, fsckExfat, makeExfatBytes } from '../../support/exfat-images.ts';
import { memoryBlocks } from '../../support/memory-blocks.ts';

const MiB = 2 ** 20;
const image = firmwareBytes(50_000);
const files = [
  { path: 'RILL40.FWU', bytes: image },
  { path: 'DOCS/a longer name than fifteen letters.txt', bytes: firmwareBytes(9000, 2), chainedGap: 2 },
  { path: 'DOCS/MORE/DEEP.TXT', bytes: firmwareBytes(20, 3) },
  { path: 'EMPTY.TXT', bytes: new Uint8Array() },
  { path: 'Größe.bin', bytes: firmwareBytes(4096, 4), chainedGap: 0 },
  { path: 'HALF.BIN', bytes: firmwareBytes(10_000, 5), validBytes: 6000 },
];

const recipes: Record<string, ExfatRecipe> = {
  bare: { sizeBytes: 8 * MiB, label: 'CARD', files },
  'in a partition, 512-byte clusters': {
    sizeBytes: 8 * MiB,
    startSector: 2048,
    clusterBytes: 512,
    files: files.slice(0, 1),
  },
  'in a partition, 128 KiB clusters': {
    sizeBytes: 32 * MiB,
    startSector: 8192,
    clusterBytes: 131_072,
    files,
  },
};

const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

describe.each(Object.entries(recipes))('%s', (_, recipe) => {
  const bytes = makeExfatBytes(recipe);
  const blocks = memoryBlocks(bytes);
  const card = examineCard(blocks);

  test('is sound to fsck.exfat, and to us', () => {
    expect(fsckExfat(bytes, recipe.startSector)).toMatchObject({ exit: 0 });
    expect(card.findings).toEqual([]);
    expect(card).toMatchObject({
      fileSystem: 'exfat',
      volume: { kind: 'exfat', label: recipe.label ?? null },
    });
  });

  test('gives every file back', async () => {
    const { volume } = card;
    const found = (volume?.nodes ?? []).filter((node): node is FileNode => !node.isFolder);
    expect(found.map(({ path }) => path).sort()).toEqual((recipe.files ?? []).map(({ path }) => path).sort());
    for (const file of recipe.files ?? []) {
      const node = found.find(({ path }) => path === file.path)!;
      const expected = file.bytes.slice();
      if (file.validBytes !== undefined) expected.fill(0, file.validBytes);
      const read = await digestFile(blocks, volume!, node, ['sha256']);
      expect(read?.sha256, file.path).toBe(sha256(expected));
      expect(
        Buffer.concat([...fileChunks(blocks, volume!, node)].map((part) => Buffer.from(part))),
      ).toHaveLength(expected.length);
    }
  });

  test('its free clusters are those that fsck.exfat and the bitmap leave', () => {
    const { volume } = card;
    const used = (volume?.nodes ?? []).reduce((sum, node) => sum + node.clusterCount, 0);
    const expected = (recipe.files ?? []).reduce(
      (sum, file) => sum + Math.ceil(file.bytes.length / volume!.geometry.clusterBytes),
      0,
    );
    const folders = (volume?.nodes ?? []).filter(({ isFolder }) => isFolder).length;
    expect(used).toBe(expected + folders);
    expect(volume!.lostClusters).toBe(0);
  });
});

describe('a unit that takes exFAT', () => {
  const rule = cardRule({
    fileSystems: ['exfat'],
    partitionTables: ['none', 'mbr'],
    capacity: { minBytes: 0, maxBytes: 1e12 },
  });
  const check = (recipe: ExfatRecipe, more: Partial<typeof rule> = {}) => {
    const blocks = memoryBlocks(makeExfatBytes(recipe));
    const wanted = { release: releaseFor(image), rule: { ...rule, ...more } };
    return checkCard(examineCard(blocks), blocks, { wanted, known: [], writeProtected: false });
  };
  const only = [{ path: 'RILL40.FWU', bytes: image }];
  const codes = ({ findings }: Awaited<ReturnType<typeof check>>) => findings.map(({ code }) => code);

  test('takes a card with the right file alone, bare and in a partition', async () => {
    for (const startSector of [0, 2048]) {
      const checked = await check({ sizeBytes: 8 * MiB, startSector, files: only });
      expect([checked.verdict, codes(checked)]).toEqual(['ready', []]);
    }
  });

  test.each([
    ['lower case', [{ path: 'rill40.fwu', bytes: image }], 'image-long-name'],
    ['another name', [{ path: 'RILL40 (1).FWU', bytes: image }], 'image-misnamed'],
    ['another folder', [{ path: 'FW/RILL40.FWU', bytes: image }], 'image-misplaced'],
    ['other bytes', [{ path: 'RILL40.FWU', bytes: firmwareBytes(50_000, 9) }], 'image-digest-mismatch'],
    [
      'a part never written',
      [{ path: 'RILL40.FWU', bytes: image, validBytes: 49_999 }],
      'image-digest-mismatch',
    ],
    ['too short', [{ path: 'RILL40.FWU', bytes: image.subarray(1) }], 'image-size-mismatch'],
    ['nothing', [], 'image-missing'],
    ['a stray', [...only, { path: 'x.jpg', bytes: firmwareBytes(9) }], 'stray-file'],
    ['litter', [...only, { path: '.DS_Store', bytes: firmwareBytes(9) }], 'litter'],
  ])('%s', async (_, files, code) => {
    const checked = await check({ sizeBytes: 8 * MiB, files });
    expect(checked.verdict).toBe('fixable');
    expect(codes(checked)).toContain(code);
  });

  test('a file whose last bytes were never written is none to rely on, though they read as zeros', async () => {
    const padded = new Uint8Array(50_000);
    padded.set(image.subarray(0, 40_000));
    const written = makeExfatBytes({ sizeBytes: 8 * MiB, files: [{ path: 'RILL40.FWU', bytes: padded }] });
    const asked = { release: releaseFor(padded), rule };
    const look = (bytes: Uint8Array) => {
      const blocks = memoryBlocks(bytes);
      return checkCard(examineCard(blocks), blocks, { wanted: asked, known: [], writeProtected: false });
    };
    expect((await look(written)).verdict).toBe('ready');
    const files = [{ path: 'RILL40.FWU', bytes: padded, validBytes: 40_000 }];
    const part = makeExfatBytes({ sizeBytes: 8 * MiB, files });
    const plant = new ExfatPlant(part);
    const first = plant.view.getUint32(plant.fileEntry('RILL40.FWU') + 52, true);
    part.fill(0x99, plant.clusterAt(first) + 40_000, plant.clusterAt(first) + 50_000);
    expect(fsckExfat(part)).toMatchObject({ exit: 0 });
    const checked = await look(part);
    expect([checked.verdict, codes(checked)]).toEqual(['fixable', ['image-digest-mismatch']]);
  });

  test('what lies beyond the entries that are read of the root is not taken for nothing', async () => {
    const clusterBytes = 131_072;
    const bytes = makeExfatBytes({ sizeBytes: 40 * MiB, clusterBytes, files: only });
    const plant = new ExfatPlant(bytes);
    const rootAt = plant.clusterAt(plant.rootCluster);
    let end = rootAt;
    while (bytes[end] !== 0) end += 32;
    let free = plant.clusters + 1;
    let last = plant.rootCluster;
    // A million entries that were deleted, in clusters behind the image.
    for (let at = end; at < rootAt + clusterBytes; at += 32) bytes[at] = 0x05;
    for (let count = 1; count < 257; count++, free--) {
      for (let at = plant.clusterAt(free); at < plant.clusterAt(free) + clusterBytes; at += 32)
        bytes[at] = 0x05;
      plant.setFat(last, free);
      plant.setFat(free, 0xffffffff);
      plant.mark(free, true);
      last = free;
    }
    const blocks = memoryBlocks(bytes);
    const card = examineCard(blocks);
    expect(card.volume?.treeComplete).toBe(false);
    const wanted = { release: releaseFor(image), rule };
    const checked = await checkCard(card, blocks, { wanted, known: [], writeProtected: false });
    expect([checked.verdict, codes(checked)]).toEqual([
      'unfit',
      expect.arrayContaining(['directory-damaged']),
    ]);
    expect(checked.findings.find(({ code }) => code === 'directory-damaged')?.seen).toContain('1,048,576');
  });

  test('in one piece, and among the first entries', async () => {
    const chained = [
      { path: 'A LONG NAME FIRST.TXT', bytes: firmwareBytes(1) },
      { ...only[0]!, chainedGap: 1 },
    ];
    const lenient = { onlyFile: false };
    const found = await check({ sizeBytes: 8 * MiB, files: chained }, { ...lenient, contiguous: true });
    expect(codes(found)).toContain('image-fragmented');
    // Bitmap, up-case table, label and the other file's four entries come first.
    const late = await check({ sizeBytes: 8 * MiB, files: chained }, { ...lenient, rootSlots: 4 });
    expect(codes(late)).toContain('image-slot-too-late');
  });

  test('the type in the table must be right, and a unit that does not take exFAT is told so', async () => {
    const bytes = makeExfatBytes({ sizeBytes: 8 * MiB, startSector: 2048, files: only });
    bytes[450] = 0x0c;
    const blocks = memoryBlocks(bytes);
    const wanted = { release: releaseFor(image), rule };
    const wrong = await checkCard(examineCard(blocks), blocks, { wanted, known: [], writeProtected: false });
    expect(codes(wrong)).toEqual(['partition-table-not-allowed']);
    const other = await check({ sizeBytes: 8 * MiB, files: only }, { fileSystems: ['fat32'] });
    expect([other.verdict, codes(other)]).toEqual(['unfit', ['file-system-not-allowed']]);
  });
});
