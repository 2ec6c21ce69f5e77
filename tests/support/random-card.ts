// Random cards: any format that small cards have, a random tree of files and folders put on by mtools, some of it
// deleted again, and the image there or not, in its place or another, under its name or another.

import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import fc from 'fast-check';
import type { CardRule } from '../../src/manifest/schema.ts';
import { type CardRecipe, makeCardFile, mtool } from './card-images.ts';
import { cardRule, firmwareBytes } from './card-rule.ts';

const MiB = 2 ** 20;

export interface RandomCard {
  readonly recipe: CardRecipe;
  readonly rule: CardRule;
  readonly imageFolder: string;
  /** By path; `deleted` ones are put on and taken off again before the rest. */
  readonly files: readonly { readonly path: string; readonly bytes: number; readonly deleted: boolean }[];
  readonly imageAt: string | undefined;
  readonly imageBytes: number;
  readonly fresh: boolean;
}

const formats: readonly Omit<CardRecipe, 'table'>[] = [
  { bits: 12, sizeBytes: 3 * MiB, sectorsPerCluster: 2 },
  { bits: 12, sizeBytes: 12 * MiB, sectorsPerCluster: 8 },
  { bits: 16, sizeBytes: 6 * MiB, sectorsPerCluster: 1 },
  { bits: 16, sizeBytes: 12 * MiB, sectorsPerCluster: 4 },
  { bits: 32, sizeBytes: 36 * MiB, sectorsPerCluster: 1 },
];

const words = [
  'IMG_0001.JPG',
  'NOTES',
  'a.b.c',
  'readme.txt',
  'Long name with blanks.doc',
  '.Trashes',
  'LOST.DIR',
];
const oddWords = [
  'ünïcödé größe.txt',
  'x'.repeat(120),
  'System Volume Information',
  '._hidden',
  'lower',
  'UPPER.TXT',
];
const name = fc.oneof(
  fc.constantFrom(...words, ...oddWords),
  fc.stringMatching(/^[a-zA-Z0-9][a-zA-Z0-9_()-]{0,29}(\.[a-z]{1,4})?$/),
);
const path = fc.array(name, { minLength: 1, maxLength: 4 }).map((parts) => parts.join('/'));

/** No two paths differ by case alone, and no file lies where another is. */
function compatible(paths: readonly string[]): Set<string> {
  const files = new Set<string>();
  const folders = new Set<string>();
  const chosen = new Set<string>();
  for (const one of paths) {
    const lower = one.toLowerCase();
    const above = lower.split('/').map((_, i, parts) => parts.slice(0, i).join('/'));
    if (files.has(lower) || folders.has(lower) || above.some((folder) => files.has(folder))) continue;
    files.add(lower);
    for (const folder of above) folders.add(folder);
    chosen.add(one);
  }
  return chosen;
}

export const randomCard: fc.Arbitrary<RandomCard> = fc
  .record({
    format: fc.constantFrom(...formats),
    table: fc.constantFrom('none' as const, 'mbr' as const),
    label: fc.option(fc.constantFrom('WORK', 'A B'), { nil: undefined }),
    files: fc.array(fc.tuple(path, fc.nat(20_000), fc.boolean()), { maxLength: 14 }),
    imageFolder: fc.constantFrom('', 'FW', 'FW/LOAD'),
    imageAt: fc.option(
      fc.constantFrom(
        'RILL40.FWU',
        'rill40.fwu',
        'RILL40 (1).FWU',
        'old/RILL40.FWU',
        'FW/RILL40.FWU',
        'FW/LOAD/RILL40.FWU',
      ),
      { nil: undefined },
    ),
    imageBytes: fc.integer({ min: 1, max: 60_000 }),
    onlyFile: fc.boolean(),
    contiguous: fc.boolean(),
    active: fc.boolean(),
    rootSlots: fc.constantFrom(0, 0, 4, 64),
    fresh: fc.constantFrom(false, false, false, true),
  })
  .map((drawn): RandomCard => {
    const { format, table, label, imageAt } = drawn;
    const chosen = compatible([
      ...(imageAt === undefined ? [] : [imageAt]),
      ...drawn.files.map(([one]) => one),
    ]);
    return {
      recipe: { ...format, table, ...(label === undefined ? {} : { label }) },
      rule: cardRule({
        onlyFile: drawn.onlyFile,
        contiguous: drawn.contiguous,
        activePartition: drawn.active,
        rootSlots: drawn.rootSlots,
        fileSystems: drawn.fresh ? ['fat32', 'fat16'] : ['fat12', 'fat16', 'fat32'],
        partitionTables: ['mbr', 'none'],
      }),
      imageFolder: drawn.imageFolder,
      files: drawn.files
        .filter(
          ([one], index) =>
            one !== imageAt && chosen.has(one) && drawn.files.findIndex(([p]) => p === one) === index,
        )
        .map(([one, bytes, deleted]) => ({ path: one, bytes, deleted })),
      imageAt,
      imageBytes: drawn.imageBytes,
      fresh: drawn.fresh,
    };
  });

export const randomImage = (card: RandomCard) => firmwareBytes(card.imageBytes, 99);
export const randomFile = (card: RandomCard, index: number) =>
  firmwareBytes(card.files[index]?.bytes ?? 0, index + 1);

function putAll(
  cardPath: string,
  recipe: CardRecipe,
  files: readonly { path: string; bytes: Uint8Array }[],
): void {
  if (files.length === 0) return;
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-tree-'));
  try {
    for (const { path: target, bytes } of files) {
      mkdirSync(dirname(join(folder, target)), { recursive: true });
      writeFileSync(join(folder, target), bytes);
    }
    const tops = [...new Set(files.map((file) => file.path.split('/')[0] ?? ''))].map((top) =>
      join(folder, top),
    );
    mtool('mcopy', cardPath, recipe, ['-s', '-n', '-D', 's', ...tops, '::/']);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Makes the card image file; its bytes. */
export function makeRandomCard(cardPath: string, card: RandomCard): Uint8Array {
  const { recipe } = card;
  makeCardFile(cardPath, recipe);
  const all = card.files.map((file, index) => ({ ...file, bytes: randomFile(card, index) }));
  const gone = all.filter((file) => file.deleted);
  putAll(cardPath, recipe, all);
  for (const file of gone) mtool('mdel', cardPath, recipe, [`::/${file.path}`]);
  if (card.imageAt !== undefined) {
    putAll(cardPath, recipe, [{ path: card.imageAt, bytes: randomImage(card) }]);
  }
  return new Uint8Array(readFileSync(cardPath));
}
