// exFAT cards with random damage, by number, and what `check` makes of them. Half of the damage is sealed afterwards: the
// checksums of boot regions and entry sets are made right again, else hardly any of it would be looked behind. What is
// called ready is read by a reader of the tests' own, and looked at by fsck.exfat for as many as asked for.

import { checkCard } from '../../src/card/check/check-card.ts';
import { examineCard } from '../../src/card/look/examine-card.ts';
import { cardRule, firmwareBytes, releaseFor } from './card-rule.ts';
import { ExfatPlant, fsckExfat, makeExfatBytes } from './exfat-images.ts';
import { seededNumbers } from './faulty-blocks.ts';
import { memoryBlocks } from './memory-blocks.ts';

const image = firmwareBytes(5000);
const files = [
  { path: 'DOCS/A NOTE OF SOME LENGTH.TXT', bytes: firmwareBytes(1500, 3), chainedGap: 1 },
  { path: 'RILL40.FWU', bytes: image },
  { path: 'DOCS/MORE/DEEP.TXT', bytes: firmwareBytes(20, 5) },
  { path: '.Trashes/501/OLD.FWU', bytes: firmwareBytes(2000, 6), chainedGap: 0 },
];

export interface ExfatBase {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly startSector: number;
  /** Byte ranges where damage matters, with a weight each. */
  readonly regions: readonly { readonly from: number; readonly to: number; readonly weight: number }[];
}

export function exfatBases(): ExfatBase[] {
  return [
    { startSector: 0, chained: false },
    { startSector: 64, chained: true },
  ].map(({ startSector, chained }) => {
    const placed = files.map((file) => (chained && file.bytes === image ? { ...file, chainedGap: 2 } : file));
    const bytes = makeExfatBytes({
      sizeBytes: 1280 * 1024 + startSector * 512,
      startSector,
      clusterBytes: 512,
      label: 'CARD',
      files: placed,
    });
    const plant = new ExfatPlant(bytes, startSector);
    const root = plant.clusterAt(plant.rootCluster);
    const docs = plant.clusterAt(plant.view.getUint32(plant.fileEntry('DOCS') + 52, true));
    const regions = [
      { from: plant.start, to: plant.start + 120, weight: 20 },
      { from: plant.start + 510, to: plant.start + 512, weight: 1 },
      { from: plant.start + 11 * plant.sector, to: plant.start + 11 * plant.sector + 16, weight: 2 },
      { from: plant.start + 12 * plant.sector, to: plant.start + 12 * plant.sector + 120, weight: 3 },
      { from: plant.fatAt, to: plant.fatAt + 4 * 80, weight: 16 },
      { from: root, to: root + 512, weight: 40 },
      { from: docs, to: docs + 512, weight: 16 },
      { from: plant.bitmapAt, to: plant.bitmapAt + 16, weight: 8 },
      ...(startSector > 0 ? [{ from: 440, to: 512, weight: 6 }] : []),
    ];
    return { bytes, startSector, regions };
  });
}

const interesting = [
  0, 1, 2, 3, 5, 0x0a, 0x10, 0x20, 0x40, 0x41, 0x7f, 0x80, 0x81, 0x82, 0x85, 0xa0, 0xc0, 0xc1, 0xf7, 0xff,
];

/** The damaged copy. */
function damaged(base: ExfatBase, seed: number): Uint8Array<ArrayBuffer> {
  const next = seededNumbers(seed);
  const below = (limit: number) => Math.floor(next() * limit);
  const bytes = base.bytes.slice();
  const total = base.regions.reduce((sum, { weight }) => sum + weight, 0);
  const place = () => {
    let pick = next() * total;
    const region =
      base.regions.find(({ weight }) => {
        pick -= weight;
        return pick < 0;
      }) ?? base.regions[0]!;
    return region.from + below(region.to - region.from);
  };
  for (let count = 1 + below(3); count > 0; count--) {
    const at = place();
    switch (below(4)) {
      case 0:
        bytes[at] = (bytes[at] ?? 0) ^ (1 << below(8));
        break;
      case 1:
        bytes[at] = interesting[below(interesting.length)] ?? 0;
        break;
      case 2:
        bytes.set([below(256), below(256)], at);
        break;
      default:
        // A cluster number where one may stand.
        new DataView(bytes.buffer).setUint32(
          at & ~3,
          [below(60), 0xffffffff, 0xfffffff7, below(3000)][below(4)] ?? 0,
          true,
        );
    }
  }
  if (below(2) === 0) seal(bytes, base);
  return bytes;
}

/** Damage may have put the volume's own numbers anywhere: then there is nothing to seal. */
function seal(bytes: Uint8Array<ArrayBuffer>, { startSector, bytes: sound }: ExfatBase): void {
  const where = new ExfatPlant(sound, startSector);
  const plant = new ExfatPlant(bytes, startSector);
  if (plant.sector === where.sector) plant.seal();
  for (const folder of [where.rootCluster, where.view.getUint32(where.fileEntry('DOCS') + 52, true)]) {
    const from = where.clusterAt(folder);
    for (let at = from; at < from + 512; at += 32)
      if (bytes[at] === 0x85 && (bytes[at + 1] ?? 0) <= 18) plant.sealSet(at);
  }
}

/** What the tests' own reader finds under the image's name in the root. */
function ownReading(bytes: Uint8Array, startSector: number): Uint8Array | undefined {
  const plant = new ExfatPlant(bytes, startSector);
  const set = plant.fileEntry('RILL40.FWU');
  const size = Number(plant.view.getBigUint64(set + 56, true));
  const valid = Number(plant.view.getBigUint64(set + 40, true));
  if (size > bytes.length) return undefined;
  const together = ((bytes[set + 33] ?? 0) & 2) !== 0;
  const out = new Uint8Array(size);
  let cluster = plant.view.getUint32(set + 52, true);
  for (let done = 0; done < size; done += plant.clusterBytes) {
    if (cluster < 2 || cluster > plant.clusters + 1) return undefined;
    const from = plant.clusterAt(cluster);
    out.set(bytes.subarray(from, from + Math.min(plant.clusterBytes, size - done)), done);
    cluster = together ? cluster + 1 : plant.fat(cluster);
  }
  out.fill(0, Math.min(valid, size));
  return out;
}

export interface ExfatRun {
  readonly cases: number;
  readonly ready: number;
  readonly judgedByFsck: number;
  readonly codes: Readonly<Record<string, number>>;
}

/** Reading everything twice is less than this. */
const mostReads = 3;

export async function runExfatMutations(
  bases: readonly ExfatBase[],
  firstSeed: number,
  cases: number,
  mostByFsck: number,
): Promise<ExfatRun> {
  const release = releaseFor(image);
  const rule = cardRule({
    fileSystems: ['exfat', 'fat16'],
    partitionTables: ['none', 'mbr', 'gpt'],
    capacity: { minBytes: 0, maxBytes: 1e12 },
    onlyFile: false,
  });
  const codes: Record<string, number> = {};
  let ready = 0;
  let judgedByFsck = 0;
  for (let seed = firstSeed; seed < firstSeed + cases; seed++) {
    const base = bases[seed % bases.length]!;
    const bytes = damaged(base, seed);
    try {
      const blocks = memoryBlocks(bytes);
      const card = examineCard(blocks);
      const checked = await checkCard(card, blocks, {
        wanted: { release, rule },
        known: [release],
        writeProtected: false,
      });
      for (const code of new Set(checked.findings.map((one) => one.code)))
        codes[code] = (codes[code] ?? 0) + 1;
      if (blocks.reads.bytes > mostReads * bytes.length) throw new Error(`read ${blocks.reads.bytes} bytes`);
      const hasStop = checked.findings.some(({ severity }) => severity === 'stop');
      if ((checked.verdict === 'ready') === hasStop) throw new Error(`${checked.verdict}, stops: ${hasStop}`);
      if (checked.verdict !== 'ready') continue;
      ready++;
      const at = (card.volume?.startBytes ?? 0) / 512;
      const read = card.fileSystem === 'exfat' ? ownReading(bytes, at) : image;
      if (read === undefined || Buffer.compare(read, image) !== 0)
        throw new Error('ready, but our own reader reads other bytes');
      if (judgedByFsck >= mostByFsck || checked.findings.some(({ severity }) => severity === 'warn'))
        continue;
      judgedByFsck++;
      const judged = fsckExfat(bytes, at);
      if (judged.exit !== 0) throw new Error(`ready, but fsck.exfat says: ${judged.text}`);
    } catch (error) {
      const again = `MUTATE_SEED=${seed} npx vitest run --project default tests/property/mutated-exfat.test.ts`;
      throw new Error(`seed ${seed}: ${error}\nre-run: ${again}`, { cause: error });
    }
  }
  return { cases, ready, judgedByFsck, codes };
}
