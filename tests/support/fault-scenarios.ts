// The cards on which faults are played: each with a card rule, what lies on it, and what `prepare` is asked to do.
// Made by stock tools; the image and the strays are told apart by their bytes.

import type { CardRule } from '../../src/manifest/schema.ts';
import { type CardRecipe, makeCardBytes } from './card-images.ts';
import { cardRule, firmwareBytes } from './card-rule.ts';

const MiB = 2 ** 20;

export interface FaultScenario {
  readonly name: string;
  /** undefined: a card image file that is made. */
  readonly recipe: CardRecipe | undefined;
  readonly rule: CardRule;
  readonly imageFolder?: string;
  /** The card's own image is the only source. */
  readonly withoutDownload?: boolean;
  readonly fresh?: boolean;
  readonly size?: string;
  /** Changes the finished card. */
  readonly harm?: (bytes: Uint8Array) => void;
}

export const faultImage = firmwareBytes(40_000, 3);

export const strays = [
  { path: 'DCIM/IMG_0001.JPG', bytes: firmwareBytes(9000, 11) },
  { path: '.Trashes/501/a plan for the summer.txt', bytes: firmwareBytes(300, 12) },
  { path: 'what I still need to buy.txt', bytes: firmwareBytes(700, 13) },
];
const litter = [
  { path: 'System Volume Information/WPSettings.dat', bytes: firmwareBytes(12, 14) },
  ...strays,
];
const misnamed = { path: 'RILL40 (1).FWU', bytes: faultImage };

const fat16 = { sizeBytes: 6 * MiB, table: 'mbr', bits: 16, sectorsPerCluster: 1, startSector: 64 } as const;
/** As small as FAT16 can be: every write of these is failed in every way, and each time all of the card is copied. */
const small16 = { ...fat16, sizeBytes: 2.5 * MiB } as const;
const fat32 = { sizeBytes: 35 * MiB, table: 'none', bits: 32, sectorsPerCluster: 1 } as const;
/** Long names fill the root's first sector, so that entries lie on both sides of its end. */
const manyNames = Array.from({ length: 5 }, (_, i) => ({
  path: `a long name of a small file, number ${i}.txt`,
  bytes: firmwareBytes(40 + i, 20 + i),
}));

export const quickScenarios: readonly FaultScenario[] = [
  { name: 'littered', recipe: { ...small16, label: 'WORK', files: litter }, rule: cardRule() },
  {
    name: 'misnamed',
    recipe: { ...small16, files: [...manyNames, misnamed] },
    rule: cardRule(),
    withoutDownload: true,
  },
  {
    name: 'tight',
    recipe: {
      ...fat16,
      ...{ sizeBytes: 2.25 * MiB, bits: 12, sectorsPerCluster: 2 },
      files: [...litter, { path: 'BIG.BIN', bytes: firmwareBytes(2.25 * MiB - 100_000, 15) }],
    },
    rule: cardRule(),
  },
  {
    name: 'fresh',
    recipe: { ...small16, files: litter },
    rule: cardRule({ fileSystems: ['fat16'], partitionTables: ['none'] }),
    fresh: true,
  },
];

export const allScenarios: readonly FaultScenario[] = [
  ...quickScenarios,
  {
    name: 'fat12',
    recipe: { ...fat16, sizeBytes: 3 * MiB, sectorsPerCluster: 2, bits: 12, label: 'WORK', files: litter },
    rule: cardRule(),
  },
  { name: 'fat32-folder', recipe: { ...fat32, files: litter }, rule: cardRule(), imageFolder: 'FW/LOAD' },
  {
    name: 'misplaced',
    recipe: { ...fat16, files: [...litter, { path: 'backup/of/RILL40.FWU', bytes: faultImage }] },
    rule: cardRule(),
    withoutDownload: true,
  },
  {
    name: 'other-bytes',
    recipe: { ...fat32, files: [{ path: 'RILL40.FWU', bytes: firmwareBytes(40_000, 16) }, ...litter] },
    rule: cardRule({ contiguous: true }),
  },
  {
    name: 'strays-stay',
    recipe: { ...fat16, label: 'WORK', files: [...manyNames, ...litter] },
    rule: cardRule({ onlyFile: false, rootSlots: 2 }),
  },
  {
    name: 'dirty-not-active',
    recipe: { ...fat16, files: [{ path: 'RILL40.FWU', bytes: faultImage }] },
    rule: cardRule({ activePartition: true }),
    withoutDownload: true,
    harm: (bytes) => {
      // The clean bit of both copies of the FAT: one reserved sector, then the FATs.
      const fatBytes = new DataView(bytes.buffer).getUint16(64 * 512 + 22, true) * 512;
      for (const copy of [0, 1]) bytes[65 * 512 + copy * fatBytes + 3]! &= 0x7f;
    },
  },
  {
    name: 'fresh-mbr-own-image',
    recipe: { ...fat32, files: [...litter, misnamed] },
    rule: cardRule({ fileSystems: ['fat16'], partitionTables: ['mbr'], activePartition: true }),
    withoutDownload: true,
    fresh: true,
  },
  {
    name: 'new',
    recipe: undefined,
    rule: cardRule({ fileSystems: ['fat16'] }),
    fresh: true,
    size: '8MiB',
    imageFolder: 'FW',
  },
];

export function makeScenarioCard(scenario: FaultScenario): Uint8Array | undefined {
  if (scenario.recipe === undefined) return undefined;
  const bytes = makeCardBytes(scenario.recipe);
  scenario.harm?.(bytes);
  return bytes;
}
