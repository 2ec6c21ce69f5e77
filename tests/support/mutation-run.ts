// Runs `check` over cards with random damage and judges it: no exception (reading beyond the card is one), work
// within bounds, and whatever is called ready is read as the exact image by a reader of the tests' own, and by
// mtools for as many as asked for.

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { checkCard } from '../../src/card/check/check-card.ts';
import { examineCard } from '../../src/card/look/examine-card.ts';
import { takeFile, temporaryFolder } from './card-images.ts';
import { cardRule, releaseFor } from './card-rule.ts';
import { memoryBlocks } from './memory-blocks.ts';
import { type MutationBase, mutate, mutationImage, mutationImagePath } from './mutate-volume.ts';
import { Plant } from './plant.ts';

export interface MutationRun {
  readonly cases: number;
  readonly ready: number;
  readonly judgedByMtools: number;
  readonly verdicts: Readonly<Record<string, number>>;
  /** How often each code was told. */
  readonly codes: Readonly<Record<string, number>>;
  /** The same of cards whose damaged GUID partition table has right check sums. */
  readonly codesBehindSeal: Readonly<Record<string, number>>;
}

/** Reading everything twice, with the folders and the image, is less than this for every card here. */
const mostReads = 3;

const rerun = (seed: number): string =>
  `re-run: MUTATE_SEED=${seed} npx vitest run --project default tests/property/mutated-volumes.test.ts`;

/** What the tests' own reader finds: the first entry of that name in the root, along the first FAT. */
export function ownReading(bytes: Uint8Array, startSector: number): Uint8Array | undefined {
  const plant = new Plant(bytes, startSector);
  const name = 'RILL40  FWU';
  let entryAt = -1;
  for (let at = plant.rootAt; at < plant.rootAt + 512 && bytes[at] !== 0 && entryAt < 0; at += 32) {
    if (
      Buffer.from(bytes.subarray(at, at + 11)).toString('latin1') === name &&
      ((bytes[at + 11] ?? 0) & 0x18) === 0
    )
      entryAt = at;
  }
  if (entryAt < 0) return undefined;
  const size = plant.view.getUint32(entryAt + 28, true);
  const out = new Uint8Array(size);
  let done = 0;
  for (let cluster = plant.firstCluster(entryAt); done < size; cluster = plant.fat(cluster)) {
    if (cluster < 2 || cluster > plant.clusters + 1) return undefined;
    const from = plant.clusterAt(cluster);
    out.set(bytes.subarray(from, from + Math.min(plant.clusterBytes, size - done)), done);
    done += plant.clusterBytes;
  }
  return out;
}

/** So many cases from another place each time, in parts; `MUTATE_SEED` and `MUTATE_COUNT` say otherwise. */
export function mutationParts(
  usual: number,
  partCases = 25_000,
): { readonly seed: number; readonly count: number }[] {
  const first = Number(process.env.MUTATE_SEED ?? Math.floor(Math.random() * 1e9));
  const cases = Number(process.env.MUTATE_COUNT ?? usual);
  return Array.from({ length: Math.ceil(cases / partCases) }, (_, part) => ({
    seed: first + part * partCases,
    count: Math.min(partCases, cases - part * partCases),
  }));
}

/** FAT32 cards cost most to look at, so they come less often. */
function baseFor(bases: readonly MutationBase[], seed: number): MutationBase {
  const cheap = bases.filter(({ plant }) => plant.bits !== 32);
  const dear = bases.filter(({ plant }) => plant.bits === 32);
  const from = seed % 6 === 5 ? dear : cheap;
  return from[Math.floor(seed / 6) % from.length]!;
}

export const isImage = (a: Uint8Array | undefined): boolean =>
  a !== undefined && Buffer.compare(a, mutationImage) === 0;

export async function runMutations(
  bases: readonly MutationBase[],
  firstSeed: number,
  cases: number,
  mostByMtools: number,
): Promise<MutationRun> {
  const release = releaseFor(mutationImage);
  const older = releaseFor(mutationImage.slice(1), { version: '4.1.0', sequence: 16 });
  const folder = temporaryFolder();
  const verdicts: Record<string, number> = {};
  const codes: Record<string, number> = {};
  const codesBehindSeal: Record<string, number> = {};
  let ready = 0;
  let judgedByMtools = 0;
  for (let seed = firstSeed; seed < firstSeed + cases; seed++) {
    const base = baseFor(bases, seed);
    const { sealed, undo } = mutate(base, seed);
    const blocks = memoryBlocks(base.bytes);
    try {
      const wanted = {
        release,
        rule: cardRule({ onlyFile: false, shortNameOnly: Math.floor(seed / 7) % 2 === 0 }),
      };
      const card = examineCard(blocks);
      const checked = await checkCard(card, blocks, {
        wanted,
        known: [release, older],
        writeProtected: false,
      });
      verdicts[checked.verdict] = (verdicts[checked.verdict] ?? 0) + 1;
      for (const code of new Set(checked.findings.map((one) => one.code))) {
        codes[code] = (codes[code] ?? 0) + 1;
        if (sealed) codesBehindSeal[code] = (codesBehindSeal[code] ?? 0) + 1;
      }
      if (blocks.reads.bytes > mostReads * base.bytes.length)
        throw new Error(`read ${blocks.reads.bytes} bytes`);
      const hasStop = checked.findings.some((one) => one.severity === 'stop');
      if ((checked.verdict === 'ready') === hasStop)
        throw new Error(`${checked.verdict} with ${hasStop ? 'a' : 'no'} stop`);
      if (checked.verdict === 'ready') {
        ready++;
        // Damage may have moved the start to where another sound volume is.
        const volumeAt = (card.volume?.startBytes ?? 0) / 512;
        if (!isImage(ownReading(base.bytes, volumeAt)))
          throw new Error('ready, but our own reader reads other bytes');
        if (judgedByMtools < mostByMtools) {
          judgedByMtools++;
          const path = join(folder, 'card.img');
          writeFileSync(path, base.bytes);
          const placed =
            volumeAt === 0
              ? ({ table: 'none' } as const)
              : ({ table: 'mbr', startSector: volumeAt } as const);
          if (!isImage(takeFile(path, placed, mutationImagePath)))
            throw new Error('ready, but mtools reads other bytes');
        }
      }
    } catch (error) {
      throw new Error(
        `seed ${seed} (${base.recipe.table}, FAT${base.recipe.bits}): ${error}\n${rerun(seed)}`,
        { cause: error },
      );
    } finally {
      undo();
    }
  }
  return { cases, ready, judgedByMtools, verdicts, codes, codesBehindSeal };
}
