// One fault on one card: `prepare` runs into it, and then must hold what its write order promises:
// 1. the card is as it was, or not `ready`; where it is `ready` all the same, mtools reads the exact image and
//    nothing else that may not be there;
// 2. the command said `ready`, and wrote an entry, only if the card is;
// 3. no stray is lost: its bytes are on the card or in the workspace;
// 4. the same command again finishes, or refuses with the way out that then works: `--fresh`.

import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { listFiles, takeFile } from './card-images.ts';
import { releaseFor } from './card-rule.ts';
import { type FaultScenario, faultImage, makeScenarioCard } from './fault-scenarios.ts';
import { type Fault, type FaultyBlocks, faultyBlocks } from './faulty-blocks.ts';
import { type MemoryCard, memoryCards } from './memory-cards.ts';
import {
  type Attempt,
  type AttemptOptions,
  attemptPrepare,
  benchCard,
  checkBytes,
  contentOf,
  contentsKept,
  contentsOnCard,
  makePrepareBench,
  type PrepareBench,
} from './prepare-bench.ts';

export interface FaultResult {
  /** The fault never came: the run had fewer writes. */
  readonly survived: boolean;
}

export interface ScenarioGround {
  readonly scenario: FaultScenario;
  readonly card: Uint8Array | undefined;
  readonly folder: string;
  /** Digests of contents that must never be lost, and what they were called. */
  readonly precious: ReadonlyMap<string, string>;
  /** Digests of cards that mtools has judged already. */
  readonly judged: Set<string>;
}

/** In memory where there is such a place: hundreds of runs each flush a few small files. */
function quickFolder(): string {
  return mkdtempSync(join(process.env.SLOTPROOF_TEST_MEMORY ?? tmpdir(), 'slotproof-faults-'));
}

export function makeGround(scenario: FaultScenario): ScenarioGround {
  const files = scenario.recipe?.files ?? [];
  // Settings of an operating system are no person's files; an own image that is the only source is precious, too.
  const person = files.filter((file) => !file.path.startsWith('System Volume'));
  const kept = person.filter((file) => scenario.withoutDownload === true || file.bytes !== faultImage);
  return {
    scenario,
    card: makeScenarioCard(scenario),
    folder: quickFolder(),
    precious: new Map(kept.map((file) => [contentOf(file.bytes), file.path])),
    judged: new Set(),
  };
}

function fail(what: string): never {
  throw new Error(what);
}

/** mtools reads the image, and nothing that the rule does not let be there. */
function requireTruly(ground: ScenarioGround, bench: PrepareBench, bytes: Uint8Array): void {
  const digest = contentOf(bytes);
  if (ground.judged.has(digest)) return;
  const path = join(ground.folder, 'judged.img');
  writeFileSync(path, bytes);
  const isMbr = bytes[510] === 0x55 && bytes[0] !== 0xeb;
  const startSector = isMbr ? new DataView(bytes.buffer, bytes.byteOffset).getUint32(454, true) : 0;
  const placed = { table: isMbr ? 'mbr' : 'none', startSector } as const;
  const { folder, name } = bench.release.image;
  const imagePath = folder === '' ? name : `${folder}/${name}`;
  const read = takeFile(path, placed, imagePath);
  if (read === undefined || contentOf(read) !== contentOf(faultImage))
    fail('ready, but mtools reads other bytes');
  const files = listFiles(path, placed);
  if (bench.rule.onlyFile && files.join() !== imagePath) fail(`ready, but mtools sees ${files.join(', ')}`);
  ground.judged.add(digest);
}

function requireNothingLost(
  ground: ScenarioGround,
  bench: PrepareBench,
  bytes: Uint8Array | undefined,
): void {
  const safe = contentsKept(bench);
  const onCard = bytes === undefined ? new Set<string>() : contentsOnCard(bytes);
  for (const [content, path] of ground.precious) {
    if (!safe.has(content) && !onCard.has(content)) fail(`${path} is lost`);
  }
}

export async function requireHolds(
  ground: ScenarioGround,
  bench: PrepareBench,
  attempt: Attempt,
  bytes: Uint8Array | undefined,
): Promise<void> {
  requireNothingLost(ground, bench, bytes);
  const verdict = bytes === undefined ? 'absent' : (await checkBytes(bench, bytes)).verdict;
  const saysReady = attempt.json.verdict === 'ready';
  if (saysReady && verdict !== 'ready') fail(`it said ready, but the card is ${verdict}`);
  if (saysReady !== attempt.entries > 0) fail(`ready: ${saysReady}, entries: ${attempt.entries}`);
  if (saysReady && attempt.exit !== 0) fail(`ready with exit ${attempt.exit}`);
  if (verdict === 'ready' && bytes !== undefined) requireTruly(ground, bench, bytes);
  if (!saysReady && attempt.exit === 0) fail('not ready with exit 0');
}

async function requireWayOut(ground: ScenarioGround, bench: PrepareBench, card: MemoryCard): Promise<void> {
  const { scenario } = ground;
  const isNew = scenario.size !== undefined && card.bytes === undefined;
  const options: AttemptOptions = {
    fresh: scenario.fresh === true,
    ...(isNew && scenario.size !== undefined ? { size: scenario.size } : {}),
  };
  const again = await attemptPrepare(bench, memoryCards(card), options);
  await requireHolds(ground, bench, again, card.bytes);
  if (again.json.verdict === 'ready') return;
  const refused = again.exit === 3 || again.code === 'download-missing';
  if (!refused) fail(`the same command again ended with ${again.exit} ${again.code}: ${again.summary}`);
  const fresh = await attemptPrepare(bench, memoryCards(card), { fresh: true });
  await requireHolds(ground, bench, fresh, card.bytes);
  if (fresh.json.verdict === 'ready') return;
  // With the only copy of the image on a damaged card, the download must come from elsewhere; it is in `kept/` or
  // on the card, which was made sure of above.
  if (fresh.code === 'download-missing' && scenario.withoutDownload) return;
  fail(`--fresh ended with ${fresh.exit} ${fresh.code}: ${fresh.summary}`);
}

/** A bench and a card as the scenario has them. */
export function makeScene(ground: ScenarioGround): { bench: PrepareBench; card: MemoryCard } {
  const { scenario } = ground;
  const release = releaseFor(faultImage, { folder: scenario.imageFolder ?? '' });
  const download = scenario.withoutDownload === true ? undefined : faultImage;
  const bench = makePrepareBench(join(ground.folder, 'bench'), release, scenario.rule, download);
  return { bench, card: { path: benchCard, bytes: ground.card?.slice() } };
}

export async function runFault(ground: ScenarioGround, fault: Fault | undefined): Promise<FaultResult> {
  const { scenario } = ground;
  const { bench, card } = makeScene(ground);
  let opened: FaultyBlocks | undefined;
  const cards = memoryCards(card, (bytes) => {
    // It is opened once more beforehand, to see that it can be written to.
    opened = faultyBlocks(bytes, fault);
    return opened;
  });
  const attempt = await attemptPrepare(bench, cards, {
    fresh: scenario.fresh === true,
    ...(scenario.size === undefined ? {} : { size: scenario.size }),
    onRemove: () => {
      card.bytes = undefined;
    },
  });
  const survived = opened === undefined || !opened.tripped();
  if (survived && attempt.json.verdict !== 'ready')
    fail(`no fault, and yet ${attempt.exit} ${attempt.code} ${attempt.summary}`);
  await requireHolds(ground, bench, attempt, card.bytes);
  if (!survived && attempt.json.verdict !== 'ready') await requireWayOut(ground, bench, card);
  rmSync(bench.folder, { recursive: true, force: true });
  return { survived };
}
