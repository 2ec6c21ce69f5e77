// Cards with random damage, by number: the same number always gives the same damage. Damage goes mostly where a
// reader's decisions are made: tables, boot sector, FSInfo, FATs, folders; some into the image's bytes. Has its own
// arithmetic (plant.ts), so the code under test never says where to hit.

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

/** Damages the base's bytes in place; call what it gives back to undo that. */
export function mutate(base: MutationBase, seed: number): () => void {
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
  return () => {
    for (const { at, bytes: old } of before.reverse()) bytes.set(old, at);
  };
}
