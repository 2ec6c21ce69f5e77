// Cards with random damage, by number: the same number always gives the same damage. Damage goes mostly where a
// reader's decisions are made: tables, boot sector, FSInfo, FATs, folders; some into the image's bytes. Half of what hits a
// GUID partition table is sealed afterwards: both check sums of each copy are made right again, else hardly any of it would
// be looked behind. Has its own arithmetic (plant.ts), so the code under test never says where to hit.

import { crc32 } from 'node:zlib';
import { type CardRecipe, makeCardBytes, volumeStartSector } from './card-images.ts';
import { firmwareBytes } from './card-rule.ts';
import { Plant } from './plant.ts';

export const mutationImage = firmwareBytes(5000);
export const mutationImagePath = 'RILL40.FWU';
const files = [
  { path: mutationImagePath, bytes: mutationImage },
  { path: 'DOCS/NOTE.TXT', bytes: firmwareBytes(1500, 3) },
  { path: 'DOCS/a longer name.txt', bytes: firmwareBytes(700, 4) },
  { path: 'DOCS/MORE/DEEP.TXT', bytes: firmwareBytes(20, 5) },
  { path: '.Trashes/501/OLD.FWU', bytes: firmwareBytes(2000, 6) },
];

const recipes: readonly CardRecipe[] = [
  {
    sizeBytes: 160 * 1024,
    table: 'none',
    bits: 12,
    sectorsPerCluster: 1,
    rootEntries: 64,
    label: 'CARD',
    files,
  },
  { sizeBytes: 400 * 1024, table: 'mbr', bits: 12, sectorsPerCluster: 2, startSector: 64, files },
  { sizeBytes: 2400 * 1024, table: 'none', bits: 16, sectorsPerCluster: 1, files },
  {
    sizeBytes: 2600 * 1024,
    table: 'mbr',
    bits: 16,
    sectorsPerCluster: 1,
    startSector: 64,
    label: 'CARD',
    files,
  },
  { sizeBytes: 2600 * 1024, table: 'gpt', bits: 16, sectorsPerCluster: 1, startSector: 64, files },
  { sizeBytes: 34 * 1024 * 1024, table: 'none', bits: 32, sectorsPerCluster: 1, files },
  {
    sizeBytes: 34 * 1024 * 1024,
    table: 'mbr',
    bits: 32,
    sectorsPerCluster: 1,
    startSector: 64,
    label: 'CARD',
    files,
  },
];

export interface MutationBase {
  readonly recipe: CardRecipe;
  readonly bytes: Uint8Array;
  readonly plant: Plant;
  /** Byte ranges where damage matters, with a weight each. */
  readonly regions: readonly { readonly from: number; readonly to: number; readonly weight: number }[];
}

export function mutationBases(): MutationBase[] {
  return recipes.map((recipe) => {
    const bytes = makeCardBytes(recipe);
    const start = volumeStartSector(recipe);
    const plant = new Plant(bytes, start);
    const usedFat = (64 * plant.bits) / 8;
    const folders = ['DOCS       ', 'MORE       '].map((name) =>
      plant.clusterAt(plant.firstCluster(plant.entry(name))),
    );
    const image = plant.clusterAt(plant.firstCluster(plant.entry('RILL40  FWU')));
    const regions = [
      { from: plant.start, to: plant.start + 90, weight: 30 },
      { from: plant.start + 510, to: plant.start + 512, weight: 1 },
      { from: plant.rootAt, to: plant.rootAt + 12 * 32, weight: 30 },
      ...folders.map((from) => ({ from, to: from + 6 * 32, weight: 10 })),
      { from: image, to: image + mutationImage.length, weight: 4 },
      ...Array.from({ length: plant.fatCount }, (_, copy) => {
        const from = plant.fatAt + copy * plant.fatBytes;
        return { from, to: from + usedFat, weight: 12 };
      }),
    ];
    if (recipe.table !== 'none') regions.push({ from: 440, to: 512, weight: 12 });
    if (recipe.table === 'gpt') {
      const last = bytes.length - 512;
      regions.push({ from: 512, to: 512 + 92, weight: 6 }, { from: 1024, to: 1024 + 128, weight: 6 });
      regions.push(
        { from: last, to: last + 92, weight: 4 },
        { from: last - 32 * 512, to: last - 32 * 512 + 128, weight: 4 },
      );
    }
    if (plant.bits === 32) regions.push({ from: plant.start + 512 + 480, to: plant.start + 1024, weight: 4 });
    return { recipe, bytes, plant, regions };
  });
}

/** A small generator of its own, so that a number means the same damage everywhere. */
function numbers(seed: number): () => number {
  let state = (seed ^ 0x9e3779b9) >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

const interesting = [
  0, 1, 2, 3, 0x0f, 0x10, 0x20, 0x2e, 0x40, 0x7f, 0x80, 0xe5, 0xf0, 0xf7, 0xf8, 0xfe, 0xff,
];

export interface Mutation {
  /** A GUID partition table was hit, and its check sums agree all the same. */
  readonly sealed: boolean;
  readonly undo: () => void;
}

/** No array of entries on the cards here is longer; what damage makes of its size may be. */
const mostEntryBytes = 64 * 1024;

/**
 * Makes both check sums of the GPT header there right (UEFI specification, section 5.3.2), each over what the header says
 * by now. A length that is out of all bounds is left alone, and so is its check sum.
 */
function sealGpt(
  bytes: Uint8Array,
  headerAt: number,
  put: (at: number, values: readonly number[]) => void,
): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const fourBytes = (value: number) => [0, 8, 16, 24].map((shift) => (value >>> shift) & 0xff);
  const entriesAt = Number(view.getBigUint64(headerAt + 72, true)) * 512;
  const entryBytes = view.getUint32(headerAt + 80, true) * view.getUint32(headerAt + 84, true);
  if (entryBytes <= mostEntryBytes && entriesAt + entryBytes <= bytes.length)
    put(headerAt + 88, fourBytes(crc32(bytes.subarray(entriesAt, entriesAt + entryBytes))));
  const headerBytes = view.getUint32(headerAt + 12, true);
  if (headerBytes > 512) return;
  put(headerAt + 16, fourBytes(0));
  put(headerAt + 16, fourBytes(crc32(bytes.subarray(headerAt, headerAt + headerBytes))));
}

/** Damages the base's bytes in place. */
export function mutate(base: MutationBase, seed: number): Mutation {
  const next = numbers(seed);
  const below = (limit: number): number => Math.floor(next() * limit);
  const before: { at: number; bytes: Uint8Array }[] = [];
  const { bytes, plant, regions } = base;
  const put = (at: number, values: readonly number[]): void => {
    before.push({ at, bytes: bytes.slice(at, at + values.length) });
    bytes.set(values, at);
  };
  const total = regions.reduce((sum, region) => sum + region.weight, 0);
  const place = (): number => {
    const pick = next() * total;
    let sum = 0;
    const region = regions.find((one) => {
      sum += one.weight;
      return pick < sum;
    }) as MutationBase['regions'][number];
    return region.from + below(region.to - region.from);
  };
  const count = 1 + below(3);
  for (let i = 0; i < count; i++) {
    const at = place();
    switch (below(6)) {
      case 0:
        put(at, [bytes[at]! ^ (1 << below(8))]);
        break;
      case 1:
        put(at, [interesting[below(interesting.length)]!]);
        break;
      case 2:
        put(at, [below(256), below(256)]);
        break;
      case 3: {
        const value = interesting[below(interesting.length)]!;
        put(at, [value, value, value, value].slice(0, 1 + below(4)));
        break;
      }
      case 4: {
        // A FAT entry of one of the first clusters, in both copies, to where a chain could go.
        const cluster = 2 + below(40);
        const target = [
          0,
          1,
          cluster,
          2 + below(40),
          plant.clusters + 1,
          plant.clusters + 2,
          plant.endMark,
          plant.badMark,
        ];
        for (let copy = 0; copy < plant.fatCount; copy++) {
          const from = plant.fatAt + copy * plant.fatBytes;
          const where = from + Math.floor((cluster * plant.bits) / 8);
          before.push({ at: where, bytes: bytes.slice(where, where + 4) });
        }
        plant.setFat(cluster, target[below(target.length)]!);
        break;
      }
      default: {
        // A whole slot, or a part of a sector, copied over another.
        const from = place() & ~31;
        const to = place() & ~31;
        put(to, [...bytes.slice(from, from + 32)]);
      }
    }
  }
  const lastHeaderAt = bytes.length - 512;
  // From the first header to the end of its entries, and from the other's entries to the end.
  const inTable = (at: number) => (at >= 512 && at < 34 * 512) || at >= bytes.length - 33 * 512;
  const sealed = base.recipe.table === 'gpt' && before.some(({ at }) => inTable(at)) && below(2) === 0;
  if (sealed) {
    // What stands in one copy alone is told as that, so half of it comes into both.
    if (below(2) === 0) put(bytes.length - 33 * 512, [...bytes.slice(1024, 1024 + 4 * 128)]);
    for (const at of [512, lastHeaderAt]) sealGpt(bytes, at, put);
  }
  const undo = () => {
    for (const { at, bytes: old } of before.reverse()) bytes.set(old, at);
  };
  return { sealed, undo };
}
