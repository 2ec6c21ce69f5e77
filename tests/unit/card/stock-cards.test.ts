// Cards made by stock tools in every combination of FAT type, table, cluster size and label are read as those tools
// themselves read them: mdir's list, minfo's and mlabel's facts, fsck.fat's count of clusters, the files' bytes.

import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { cardImages } from '../../../src/adapters/cards/card-images.ts';
import { checkCard } from '../../../src/card/check/check-card.ts';
import { examineCard } from '../../../src/card/look/examine-card.ts';
import type { FileNode } from '../../../src/card/look/examined-card.ts';
import { digestFile } from '../../../src/card/look/read-file.ts';
import {
  type CardRecipe,
  fsckFat,
  listFiles,
  makeCardFile,
  mtool,
  mtoolsVolume,
  temporaryFolder,
} from '../../support/card-images.ts';
import { cardRule, firmwareBytes, releaseFor } from '../../support/card-rule.ts';
import { fatVolume } from '../../support/fat-volume.ts';

const folder = temporaryFolder();
const image = firmwareBytes(70_000);
const release = releaseFor(image);
const contents: Readonly<Record<string, Uint8Array>> = {
  'RILL40.FWU': image,
  'A longer name than eight and three.txt': firmwareBytes(1000, 2),
  'lower.txt': firmwareBytes(3, 3),
  'EMPTY.TXT': new Uint8Array(),
  'Größe.txt': firmwareBytes(9, 4),
  'FW/DEEP/DEEPER/BELOW.BIN': firmwareBytes(30_000, 5),
  'FW/second.bin': firmwareBytes(513, 6),
};

const source = join(folder, 'source');
for (const [path, bytes] of Object.entries(contents)) {
  mkdirSync(join(source, path, '..'), { recursive: true });
  writeFileSync(join(source, path), bytes);
}

const mebibyte = 2 ** 20;
const sizes: Readonly<
  Record<CardRecipe['bits'], readonly (readonly [sectorsPerCluster: number, sizeBytes: number])[]>
> = {
  12: [
    [1, 1.5 * mebibyte],
    [8, 8 * mebibyte],
    [32, 20 * mebibyte],
  ],
  16: [
    [1, 4 * mebibyte],
    [4, 16 * mebibyte],
    [16, 70 * mebibyte],
  ],
  32: [
    [1, 40 * mebibyte],
    [2, 70 * mebibyte],
    [4, 140 * mebibyte],
  ],
};
const combinations = ([12, 16, 32] as const).flatMap((bits) =>
  (['none', 'mbr', 'gpt'] as const).flatMap((table) =>
    sizes[bits].flatMap(([sectorsPerCluster, sizeBytes]) =>
      [undefined, 'MY CARD'].map((label) => {
        const recipe: CardRecipe = {
          bits,
          table,
          sectorsPerCluster,
          sizeBytes,
          startSector: 128,
          ...(label ? { label } : {}),
        };
        return [
          `FAT${bits}, ${table}, ${sectorsPerCluster} sectors a cluster, ${label ?? 'no label'}`,
          recipe,
        ] as const;
      }),
    ),
  ),
);
const further: readonly (readonly [string, CardRecipe])[] = [
  ...([1024, 2048, 4096] as const).map(
    (bytesPerSector) =>
      [
        `FAT16, sectors of ${bytesPerSector} bytes`,
        { bits: 16, table: 'none', sectorsPerCluster: 1, bytesPerSector, sizeBytes: 5000 * bytesPerSector },
      ] as const,
  ),
  [
    'one FAT',
    { bits: 16, table: 'mbr', sectorsPerCluster: 1, sizeBytes: 4 * mebibyte, startSector: 128, fatCount: 1 },
  ],
  [
    'GPT made by sgdisk',
    { bits: 16, table: 'gpt', sectorsPerCluster: 1, sizeBytes: 4 * mebibyte, gptTool: 'sgdisk' },
  ],
  ['FAT16, 64 KiB a cluster', { bits: 16, table: 'none', sectorsPerCluster: 128, sizeBytes: 300 * mebibyte }],
  ['FAT32, 32 KiB a cluster', { bits: 32, table: 'none', sectorsPerCluster: 64, sizeBytes: 2200 * mebibyte }],
  [
    'a partition at 4 MiB, active',
    {
      bits: 32,
      table: 'mbr',
      sectorsPerCluster: 1,
      sizeBytes: 44 * mebibyte,
      startSector: 8192,
      active: true,
    },
  ],
];

describe('read as stock tools read it', () => {
  test.each([...combinations, ...further])('%s', async (_, recipe) => {
    const path = join(folder, 'card.img');
    makeCardFile(path, recipe);
    const volume = mtoolsVolume(path, recipe);
    execFileSync('sh', ['-c', `mcopy -s -i "${volume}" "${source}"/* ::/`], {
      env: { ...process.env, LC_ALL: 'C.UTF-8', MTOOLS_SKIP_CHECK: '1' },
    });

    const blocks = cardImages.openToRead(path);
    try {
      const card = examineCard(blocks);
      expect(card.findings).toEqual([]);
      expect([card.partitionTable, card.fileSystem]).toEqual([recipe.table, `fat${recipe.bits}`]);
      const read = fatVolume(card);
      const files = read.nodes.filter((node): node is FileNode => !node.isFolder);

      expect(files.map((file) => file.path).sort()).toEqual(listFiles(path, recipe).sort());
      for (const file of files) {
        const digests = await digestFile(blocks, read, file, ['sha256']);
        const expected = createHash('sha256').update(contents[file.path]!).digest('hex');
        expect([file.path, file.sizeBytes, digests?.sha256]).toEqual([
          file.path,
          contents[file.path]!.length,
          expected,
        ]);
      }
      const facts = mtool('minfo', path, recipe, ['::']);
      expect(facts).toContain(`sector size: ${read.geometry.bytesPerSector} bytes`);
      expect(facts).toContain(`cluster size: ${read.geometry.sectorsPerCluster} sectors`);
      expect(facts).toContain(`serial number: ${read.volumeId!.replace('-', '')}`);
      const label = mtool('mlabel', path, recipe, ['-s', '::']);
      expect(label.trim()).toBe(
        read.label === null ? 'Volume has no label' : `Volume label is ${read.label.padEnd(11)}`.trim(),
      );
      expect(read.label).toBe(recipe.label ?? null);

      const used = read.geometry.clusterCount - read.freeClusters;
      const fsck = fsckFat(path, recipe);
      expect(fsck.text).toContain(` ${used}/${read.geometry.clusterCount} clusters`);
      expect(fsck.exit).toBe(0);

      const wanted = { release, rule: cardRule({ onlyFile: false }) };
      const checked = await checkCard(card, blocks, { wanted, known: [release], writeProtected: false });
      expect(checked.verdict).toBe('ready');
      expect(checked.imageSha256).toBe(release.image.digests.sha256);
    } finally {
      blocks.close();
      rmSync(path);
    }
  });
});
