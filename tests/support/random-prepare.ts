// `prepare` on one random card: it becomes ready, stock tools agree, nothing of a person's is lost, and a second
// run finds nothing to do.

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { litterByName } from '../../src/card/look/litter.ts';
import { fsckFat, listFiles, takeFile, temporaryFolder } from './card-images.ts';
import { releaseFor } from './card-rule.ts';
import { memoryCards } from './memory-cards.ts';
import {
  attemptPrepare,
  benchCard,
  checkBytes,
  contentOf,
  contentsKept,
  makePrepareBench,
} from './prepare-bench.ts';
import { makeRandomCard, type RandomCard, randomFile, randomImage } from './random-card.ts';

const folder = temporaryFolder();

function require_(holds: boolean, what: () => string): void {
  if (!holds) throw new Error(what());
}

/** Litter without a person's files is removed without a copy. */
function isDisposable(path: string): boolean {
  const parts = path.split('/');
  for (const [depth, part] of parts.entries()) {
    const litter = litterByName(part, depth < parts.length - 1, depth === 0);
    if (litter !== 'no') return litter === 'litter';
  }
  return false;
}

export async function prepareRandomCard(card: RandomCard): Promise<void> {
  const path = join(folder, 'random.img');
  const image = randomImage(card);
  const release = releaseFor(image, { folder: card.imageFolder });
  const bench = makePrepareBench(join(folder, 'bench'), release, card.rule, image);
  const memory = { path: benchCard, bytes: makeRandomCard(path, card) as Uint8Array | undefined };
  const before = contentOf(memory.bytes ?? new Uint8Array());
  const options = { fresh: card.fresh };
  const attempt = await attemptPrepare(bench, memoryCards(memory), options);
  if (!card.fresh && !card.rule.onlyFile && card.rule.rootSlots > 0 && attempt.exit === 3) {
    // Strays that may stay can fill the first slots of a folder that has no room behind them: a clear refusal.
    const codes: string[] = attempt.json.findings.map(({ code }: { code: string }) => code);
    require_(codes.includes('no-room'), () => `refused with ${codes.join(', ')}`);
    require_(contentOf(memory.bytes ?? new Uint8Array()) === before, () => 'a refused card was changed');
    return;
  }
  require_(attempt.json.verdict === 'ready', () => `${attempt.exit} ${attempt.code}: ${attempt.summary}`);
  const bytes = memory.bytes ?? new Uint8Array();
  writeFileSync(path, bytes);

  const placed = card.fresh
    ? ({ table: bytes[0] === 0xeb ? 'none' : 'mbr', startSector: bytes[0] === 0xeb ? 0 : 8192 } as const)
    : card.recipe;
  const judged = fsckFat(path, placed);
  require_(
    judged.exit === 0 && !/differ|wrong|summary|dirty|Leaving|reclaim/i.test(judged.text),
    () => judged.text,
  );
  const imagePath = card.imageFolder === '' ? 'RILL40.FWU' : `${card.imageFolder}/RILL40.FWU`;
  const read = takeFile(path, placed, imagePath);
  require_(read !== undefined && contentOf(read) === contentOf(image), () => 'mtools reads another image');

  const onCard = listFiles(path, placed);
  const kept = contentsKept(bench);
  for (const [index, file] of card.files.entries()) {
    if (file.deleted) continue;
    const content = contentOf(randomFile(card, index));
    const still = takeFile(path, placed, file.path);
    const isStill = still !== undefined && contentOf(still) === content;
    require_(isStill || kept.has(content) || isDisposable(file.path), () => `${file.path} is lost`);
    if (!card.rule.onlyFile && !card.fresh && file.path.toLowerCase() !== 'fw') {
      require_(
        isStill || file.path.toLowerCase().startsWith('fw'),
        () => `${file.path} may stay and does not`,
      );
    }
  }
  if (card.rule.onlyFile || card.fresh)
    require_(onCard.join() === imagePath, () => `also there: ${onCard.join(', ')}`);
  require_((await checkBytes(bench, bytes)).verdict === 'ready', () => 'check does not agree');

  const again = await attemptPrepare(bench, memoryCards(memory), {});
  require_(
    again.json.plan?.length === 0 && contentOf(memory.bytes ?? bytes) === contentOf(bytes),
    () => 'a second run writes',
  );
}
