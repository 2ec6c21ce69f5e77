// Cards whose format is kept: littered by mtools, tidied by the plan, judged by fsck.fat and mtools.

import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { cardImages } from '../../../../src/adapters/cards/card-images.ts';
import { examineCard } from '../../../../src/card/look/examine-card.ts';
import type { FileNode } from '../../../../src/card/look/examined-card.ts';
import { planTidy, type TidyPlan } from '../../../../src/card/tidy/tidy-plan.ts';
import type { TidyRefusal } from '../../../../src/card/tidy/tidy-target.ts';
import type { CardRule } from '../../../../src/manifest/schema.ts';
import { applyStages } from '../../../support/apply-stages.ts';
import {
  type CardRecipe,
  fsckFat,
  listFiles,
  makeCardFile,
  mtool,
  putFile,
  takeFile,
  temporaryFolder,
} from '../../../support/card-images.ts';
import { cardRule } from '../../../support/card-rule.ts';
import { fatVolume } from '../../../support/fat-volume.ts';
import { memoryBlocks } from '../../../support/memory-blocks.ts';

const MiB = 2 ** 20;
const image = Uint8Array.from({ length: 70_001 }, (_, i) => (i * 7 + (i >> 9)) & 0xff);
const stray = (length: number) => Uint8Array.from({ length }, (_, i) => (i * 13 + length) & 0xff);
const rule = cardRule();
const folder = temporaryFolder();
let count = 0;

interface Tidied {
  readonly path: string;
  readonly plan: TidyPlan;
}

interface Wanted {
  readonly rule?: Partial<CardRule>;
  readonly folder?: string;
  readonly name?: string;
  /** The path of the file that holds the image's bytes. */
  readonly holder?: string;
}

function planFor(path: string, wanted: Wanted): TidyPlan | TidyRefusal {
  const blocks = cardImages.openToRead(path);
  const card = examineCard(blocks);
  const volume = fatVolume(card);
  const holder = volume.nodes.find((node): node is FileNode => !node.isFolder && node.path === wanted.holder);
  if (wanted.holder !== undefined && holder === undefined) throw new Error(`no ${wanted.holder} on the card`);
  return planTidy(
    {
      card,
      volume,
      rule: { ...rule, ...wanted.rule },
      image: { name: wanted.name ?? 'RILL40.FWU', folder: wanted.folder ?? '', bytes: image.length },
      holder,
      atMs: Date.UTC(2026, 9, 1),
    },
    blocks,
  );
}

function tidy(path: string, wanted: Wanted): Tidied {
  const plan = planFor(path, wanted);
  if (plan.kind !== 'tidy') throw new Error(JSON.stringify(plan));
  applyStages(path, [...plan.stages, ...(plan.unguard ? [plan.unguard] : [])], image);
  return { path, plan };
}

function make(recipe: CardRecipe): string {
  const path = join(folder, `card-${count++}.img`);
  makeCardFile(path, recipe);
  return path;
}

function requireSound(
  path: string,
  recipe: CardRecipe,
  files: readonly string[],
  imagePath = 'RILL40.FWU',
): void {
  const judged = fsckFat(path, recipe);
  expect(judged.exit, judged.text).toBe(0);
  expect(judged.text).not.toMatch(/differ|wrong|summary|dirty|Leaving|reclaim/i);
  expect(listFiles(path, recipe).sort()).toEqual([...files].sort());
  expect(Buffer.compare(takeFile(path, recipe, imagePath) ?? new Uint8Array(), image)).toBe(0);
}

/** Less usual, but allowed. */
const oddCards: (CardRecipe & { readonly name: string })[] = [
  { name: 'GPT', table: 'gpt', bits: 16, sizeBytes: 16 * MiB, sectorsPerCluster: 2 },
  { name: 'GPT, FAT32', table: 'gpt', bits: 32, sizeBytes: 40 * MiB, sectorsPerCluster: 1 },
  { name: 'one FAT', table: 'none', bits: 16, sizeBytes: 16 * MiB, sectorsPerCluster: 2, fatCount: 1 },
  { name: 'one FAT, FAT32', table: 'mbr', bits: 32, sizeBytes: 40 * MiB, sectorsPerCluster: 1, fatCount: 1 },
  {
    name: 'sectors of 1024',
    table: 'none',
    bits: 16,
    sizeBytes: 16 * MiB,
    bytesPerSector: 1024,
    sectorsPerCluster: 2,
  },
  {
    name: 'sectors of 4096',
    table: 'none',
    bits: 12,
    sizeBytes: 12 * MiB,
    bytesPerSector: 4096,
    sectorsPerCluster: 1,
  },
  { name: 'a root of 16', table: 'mbr', bits: 12, sizeBytes: 3 * MiB, sectorsPerCluster: 2, rootEntries: 16 },
];

const litter = [
  { path: 'System Volume Information/WPSettings.dat', bytes: stray(12) },
  { path: '.Trashes/501/holiday plan for next year.txt', bytes: stray(5000) },
  { path: 'DCIM/100MEDIA/IMG_0001.JPG', bytes: stray(40_000) },
  { path: 'a note with a long name.txt', bytes: stray(700) },
  { path: 'EMPTY.TXT', bytes: stray(0) },
];

const cards: (CardRecipe & { readonly name: string })[] = [];
for (const table of ['none', 'mbr'] as const) {
  for (const [bits, sizeBytes, clusters] of [
    [12, 4 * MiB, [2, 8]],
    [16, 16 * MiB, [1, 4]],
    [16, 34 * MiB, [16]],
    [32, 40 * MiB, [1]],
    [32, 70 * MiB, [2]],
  ] as const) {
    for (const sectorsPerCluster of clusters) {
      const name = `FAT${bits} ${table} ${sizeBytes / MiB} MiB, ${sectorsPerCluster} sectors a cluster`;
      cards.push({ name, table, bits, sizeBytes, sectorsPerCluster, label: 'WORK' });
    }
  }
}

const littered = new Map<string, string>();

function copyOfLittered(recipe: CardRecipe & { readonly name: string }): string {
  const base = littered.get(recipe.name) ?? make({ ...recipe, files: litter });
  littered.set(recipe.name, base);
  const path = join(folder, `card-${count++}.img`);
  execFileSync('cp', ['--sparse=always', base, path]);
  return path;
}

describe('every format', () => {
  it.each([...cards, ...oddCards])('$name', (recipe) => {
    const path = copyOfLittered(recipe);
    const { plan } = tidy(path, {});
    requireSound(path, recipe, ['RILL40.FWU']);
    expect(plan.keep.map((file) => file.path)).toEqual([
      '.Trashes/501/holiday plan for next year.txt',
      'DCIM/100MEDIA/IMG_0001.JPG',
      'a note with a long name.txt',
      'EMPTY.TXT',
    ]);
    if (recipe.label) expect(mtool('mlabel', path, recipe, ['-s', '::'])).toMatch(/WORK/);
    // Nothing is left to do.
    expect(planFor(path, { holder: 'RILL40.FWU' })).toMatchObject({ steps: [], stages: [] });
  });

  it.each(cards.filter((card) => card.table === 'none'))('into a folder: $name', (recipe) => {
    const path = copyOfLittered(recipe);
    putFile(path, recipe, 'FW/OLD.FWU', stray(3000));
    tidy(path, { folder: 'FW/LOAD' });
    requireSound(path, recipe, ['FW/LOAD/RILL40.FWU'], 'FW/LOAD/RILL40.FWU');
  });
});

describe('the image is there already', () => {
  const recipe: CardRecipe = { sizeBytes: 16 * MiB, table: 'mbr', bits: 16, sectorsPerCluster: 1 };

  it.each([
    ['misnamed, with a long name', 'RILL40 (1).FWU', ''],
    ['in lower case', 'rill40.fwu', ''],
    ['with a long name that says the same', 'Rill40.fwu', ''],
    ['in another folder', 'backup/deep/RILL40.FWU', ''],
    ['in the root instead of its folder', 'RILL40.FWU', 'FW/LOAD'],
    ['above its folder', 'FW/RILL40.FWU', 'FW/LOAD'],
    ['under a very long name', `${'a long way to say nothing '.repeat(6)}.fwu`, ''],
  ])('%s', (_, holder, inFolder) => {
    const path = make({ ...recipe, files: [...litter, { path: holder, bytes: image }] });
    const { plan } = tidy(path, { holder, folder: inFolder });
    const imagePath = inFolder === '' ? 'RILL40.FWU' : `${inFolder}/RILL40.FWU`;
    requireSound(path, recipe, [imagePath], imagePath);
    expect(plan.writesImage).toBe(false);
    expect(plan.steps.filter((step) => step.do === 're-enter')).toEqual([
      { do: 're-enter', path: imagePath, from: holder },
    ]);
    expect(plan.keep.map((file) => file.path)).not.toContain(holder);
  });

  it('keeps a file under its name with other bytes', () => {
    const path = make({ ...recipe, files: [{ path: 'RILL40.FWU', bytes: stray(500) }] });
    const { plan } = tidy(path, {});
    requireSound(path, recipe, ['RILL40.FWU']);
    expect(plan.keep.map((file) => file.path)).toEqual(['RILL40.FWU']);
  });

  it('writes a fragmented one anew where the rule wants one run', () => {
    const path = make({
      ...recipe,
      files: [
        { path: 'A.TXT', bytes: stray(3000) },
        { path: 'B.TXT', bytes: stray(200_000) },
      ],
    });
    mtool('mdel', path, recipe, ['::/A.TXT']);
    putFile(path, recipe, 'RILL40.FWU', image);
    const before = examineCard(memoryBlocks(readFileSync(path))).volume?.nodes.find(
      (node) => node.path === 'RILL40.FWU',
    );
    expect(before?.runs.length).toBeGreaterThan(1);
    const { plan } = tidy(path, { holder: 'RILL40.FWU', rule: { contiguous: true } });
    requireSound(path, recipe, ['RILL40.FWU']);
    expect(plan.writesImage).toBe(true);
    const after = examineCard(memoryBlocks(readFileSync(path))).volume?.nodes;
    expect(after?.[0]?.runs).toHaveLength(1);
  });
});

describe('strays that may stay', () => {
  const recipe: CardRecipe = {
    sizeBytes: 16 * MiB,
    table: 'none',
    bits: 16,
    sectorsPerCluster: 1,
    label: 'WORK',
  };
  const lenient = { onlyFile: false };

  it('stay, and the image goes into the earliest free slot', () => {
    const path = make({ ...recipe, files: litter });
    const { plan } = tidy(path, { rule: lenient });
    requireSound(path, recipe, [...litter.map((file) => file.path), 'RILL40.FWU']);
    expect(plan.keep).toEqual([]);
    expect(plan.removed).toEqual([]);
  });

  it.each([1, 2, 3, 5])(
    'make room where the rule wants the image among the first %d entries',
    (rootSlots) => {
      const path = make({ ...recipe, files: litter });
      const { plan } = tidy(path, { rule: { ...lenient, rootSlots } });
      requireSound(path, recipe, [...litter.map((file) => file.path), 'RILL40.FWU']);
      const node = examineCard(memoryBlocks(readFileSync(path))).volume?.nodes.find(
        (one) => one.path === 'RILL40.FWU',
      );
      expect(node?.slot).toBeLessThan(rootSlots);
      expect(plan.steps.some((step) => step.do === 'move-entry')).toBe(true);
      for (const file of litter) {
        expect(Buffer.compare(takeFile(path, recipe, file.path) ?? Buffer.of(1), file.bytes)).toBe(0);
      }
    },
  );

  it('but not where the image has to go', () => {
    const path = make({
      ...recipe,
      files: [
        { path: 'FW', bytes: stray(10) },
        { path: 'OTHER.TXT', bytes: stray(20) },
      ],
    });
    const { plan } = tidy(path, { rule: lenient, folder: 'FW' });
    requireSound(path, recipe, ['OTHER.TXT', 'FW/RILL40.FWU'], 'FW/RILL40.FWU');
    expect(plan.keep.map((file) => file.path)).toEqual(['FW']);
  });

  it('grow a full folder by a cluster', () => {
    const files = Array.from({ length: 14 }, (_, i) => ({ path: `FW/F${i}.TXT`, bytes: stray(i) }));
    const path = make({ ...recipe, files });
    // What was in the new cluster before must not be taken for entries.
    const dirtyBytes = readFileSync(path);
    const volume = fatVolume(examineCard(memoryBlocks(dirtyBytes)));
    const dataBytes = volume.geometry.firstDataSector * 512;
    for (let at = dataBytes; at < dirtyBytes.length; at += 512) {
      const cluster = (at - dataBytes) / 512 + 2;
      if (volume.entries[cluster] === 0) dirtyBytes.fill(0x41, at, at + 512);
    }
    writeFileSync(path, dirtyBytes);
    tidy(path, { rule: lenient, folder: 'FW' });
    requireSound(path, recipe, [...files.map((file) => file.path), 'FW/RILL40.FWU'], 'FW/RILL40.FWU');
  });

  it('refuse where the root is full or the card is', () => {
    const full = { ...recipe, rootEntries: 16 };
    const files = Array.from({ length: 15 }, (_, i) => ({ path: `F${i}.TXT`, bytes: stray(i) }));
    expect(planFor(make({ ...full, files }), { rule: lenient })).toEqual({ kind: 'no-room', what: 'folder' });
    const big = [{ path: 'BIG.BIN', bytes: stray(16 * MiB - 200_000) }];
    const path = make({ ...recipe, files: big });
    expect(planFor(path, { rule: lenient })).toEqual({ kind: 'no-room', what: 'clusters' });
    // With what goes gone, there is room: the files go first.
    const { plan } = tidy(path, {});
    expect(plan.stages.map((stage) => stage.name)).toEqual([
      'guard',
      'remove',
      'free',
      'image',
      'tables',
      'enter',
    ]);
    requireSound(path, recipe, ['RILL40.FWU']);
  });

  it('refuse a rule that no card can meet', () => {
    const path = make(recipe);
    expect(planFor(path, { folder: 'FW', rule: { rootSlots: 2 } })).toMatchObject({
      kind: 'rule-impossible',
    });
    expect(planFor(path, { name: 'a long name.fwu' })).toMatchObject({ kind: 'rule-impossible' });
    expect(planFor(path, { folder: 'FW', rule: { rootSlots: 3 } })).toMatchObject({ kind: 'tidy' });
  });
});

describe('marks and orders', () => {
  const recipe: CardRecipe = { sizeBytes: 40 * MiB, table: 'mbr', bits: 32, sectorsPerCluster: 1 };

  it('sets the guard first and takes it away last, in one sector each', () => {
    const path = make({ ...recipe, files: litter });
    const { plan } = tidy(path, {});
    expect(plan.stages.map((stage) => stage.name)).toEqual([
      'guard',
      'image',
      'remove',
      'tables',
      'enter',
      'settle',
    ]);
    for (const stage of [plan.stages[0], plan.unguard]) {
      const writes = stage?.kind === 'sectors' ? [...stage.writes()] : [];
      expect(writes.map((write) => [write.offsetBytes, write.bytes.length])).toEqual([[2048 * 512, 512]]);
      expect(writes[0]?.bytes[0x41]).toBe(stage === plan.unguard ? 0 : 1);
    }
  });

  it('marks a dirty card clean and the partition active, and nothing else', () => {
    const path = make({ ...recipe, files: [{ path: 'RILL40.FWU', bytes: image }] });
    const bytes = readFileSync(path);
    const fat = (2048 + 32) * 512;
    bytes.writeUInt8(0x07, fat + 7);
    writeFileSync(path, bytes);
    const plan = planFor(path, { holder: 'RILL40.FWU', rule: { activePartition: true } });
    expect(plan).toMatchObject({ steps: [{ do: 'mark-active' }, { do: 'mark-clean' }] });
    tidy(path, { holder: 'RILL40.FWU', rule: { activePartition: true } });
    requireSound(path, recipe, ['RILL40.FWU']);
    const after = readFileSync(path);
    expect(after[446]).toBe(0x80);
    expect(after[fat + 7]).toBe(0x0f);
  });

  it.each([true, false])('leaves no folder in the way that only shows the name (onlyFile %s)', (onlyFile) => {
    const path = make({ ...recipe, files: [{ path: 'Load/RILL40.FWU', bytes: image }] });
    const bytes = readFileSync(path);
    const at = bytes.indexOf('LOAD       ', 0, 'latin1');
    bytes.write('QX         ', at, 'latin1');
    let sum = 0;
    for (const byte of bytes.subarray(at, at + 11)) sum = (((sum & 1) << 7) + (sum >> 1) + byte) & 0xff;
    bytes[at - 32 + 13] = sum;
    writeFileSync(path, bytes);
    tidy(path, { holder: 'Load/RILL40.FWU', folder: 'LOAD', rule: { onlyFile } });
    requireSound(path, recipe, ['LOAD/RILL40.FWU'], 'LOAD/RILL40.FWU');
    expect(readFileSync(path).indexOf('QX         ', 0, 'latin1')).toBe(-1);
  });

  it('gives long names where the rule lets it', () => {
    const path = make({ ...recipe, files: litter });
    const name = 'rill 40, version 4.2.fwu';
    tidy(path, { name, folder: 'Firmware for the pump', rule: { shortNameOnly: false } });
    requireSound(path, recipe, [`Firmware for the pump/${name}`], `Firmware for the pump/${name}`);
  });
});

describe('the judges', () => {
  it('notice a cluster that was not freed and a file that was left', () => {
    const recipe: CardRecipe = {
      sizeBytes: 16 * MiB,
      table: 'none',
      bits: 16,
      sectorsPerCluster: 1,
      files: litter,
    };
    const path = make(recipe);
    const plan = planFor(path, {});
    if (plan.kind !== 'tidy') throw new Error(plan.kind);
    applyStages(
      path,
      plan.stages.filter((stage) => stage.name !== 'tables'),
      image,
    );
    expect(() => requireSound(path, recipe, ['RILL40.FWU'])).toThrow();
  });
});
