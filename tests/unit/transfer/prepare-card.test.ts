// What `prepare` must not believe: a card that gives back other bytes with the same check sum, one that fails when it
// is closed, and a plan without a step for a card that is not ready.

import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { localFiles } from '../../../src/adapters/files/local-files.ts';
import { startDigests } from '../../../src/bytes/digests.ts';
import { checkCard } from '../../../src/card/check/check-card.ts';
import { examineCard } from '../../../src/card/look/examine-card.ts';
import type { Blocks } from '../../../src/ports/blocks.ts';
import { planInOwnFormat } from '../../../src/transfer/preparation-plan.ts';
import { failureJson } from '../../../src/ui/failure-text.ts';
import { Failure } from '../../../src/words/failure.ts';
import { type CardRecipe, makeCardBytes, temporaryFolder } from '../../support/card-images.ts';
import { cardRule, firmwareBytes, releaseFor } from '../../support/card-rule.ts';
import { memoryBlocks } from '../../support/memory-blocks.ts';
import { memoryCards } from '../../support/memory-cards.ts';
import {
  type Attempt,
  attemptPrepare,
  benchCard,
  makePrepareBench,
  type PrepareBench,
} from '../../support/prepare-bench.ts';

const image = firmwareBytes(5000);
const recipe: CardRecipe = { sizeBytes: 1 << 20, table: 'none', bits: 12, sectorsPerCluster: 1 };

async function crc32(bytes: Uint8Array): Promise<string> {
  const running = await startDigests(['crc32']);
  running.update(bytes);
  return running.finish().crc32 ?? '';
}

/** The polynomial of CRC-32 (x^32 first), laid over the bits from byte 100 on: no check sum of that kind sees it. */
function forged(bytes: Uint8Array): Uint8Array {
  const changed = bytes.slice();
  const polynomial = `1${(0x04c11db7).toString(2).padStart(32, '0')}`;
  [...polynomial].forEach((bit, at) => {
    const byte = 100 + Math.floor(at / 8);
    if (bit === '1') changed[byte] = (changed[byte] ?? 0) ^ (1 << (at % 8));
  });
  return changed;
}

async function benchOf(changes: Record<string, unknown> = {}, files: CardRecipe['files'] = []) {
  const release = releaseFor(image, changes);
  const bench = makePrepareBench(temporaryFolder(), release, cardRule(), image);
  const card = { path: benchCard, bytes: makeCardBytes({ ...recipe, files }) as Uint8Array | undefined };
  return { bench, card };
}

it('compares what it reads back with what it wrote, not only with a check sum of the manifest', async () => {
  const other = forged(image);
  expect(other).not.toEqual(image);
  expect(await crc32(other)).toBe(await crc32(image));
  const { bench, card } = await benchOf({ digests: { crc32: await crc32(image) } });
  const cards = memoryCards(card, (bytes): Blocks => {
    const blocks = memoryBlocks(bytes);
    return {
      ...blocks,
      write(offset, source) {
        const isImage = Buffer.compare(source.subarray(0, 90), image.subarray(0, 90)) === 0;
        blocks.write(offset, isImage ? forged(source) : source);
      },
    };
  });
  const attempt = await attemptPrepare(bench, cards);
  expect(attempt).toMatchObject({ exit: 3, entries: 0 });
  expect(attempt.json).toMatchObject({ verdict: 'not-ready' });
  expect(attempt.json.findings.at(-1)).toMatchObject({ code: 'image-digest-mismatch', severity: 'stop' });
  const honest = await attemptPrepare(bench, memoryCards(card));
  expect(honest.json.verdict).toBe('ready');
});

it('closes the card once, and tells when that fails', async () => {
  const { bench, card } = await benchOf();
  let opened = 0;
  let closed = 0;
  const cards = memoryCards(card, (bytes) => {
    // It is opened and closed once more before the question.
    const isLast = ++opened === 2;
    return {
      ...memoryBlocks(bytes),
      close() {
        if (!isLast) return;
        if (++closed > 1) throw Object.assign(new Error('bad file descriptor'), { code: 'EBADF' });
        throw new Failure({ code: 'card-failed', exit: 6, summary: 'The card failed.', next: 'Look at it.' });
      },
    };
  });
  const attempt = await attemptPrepare(bench, cards);
  expect([opened, closed]).toEqual([2, 1]);
  expect(attempt).toMatchObject({ exit: 6, code: 'card-failed', entries: 0 });
  expect(attempt.summary).toMatch(/The card is not ready\.$/);
});

describe('files that were kept before it went wrong', () => {
  const strays = [
    { path: 'A.TXT', bytes: firmwareBytes(700, 2) },
    { path: 'about these files.txt', bytes: firmwareBytes(900, 3) },
  ];
  const failing = new Failure({ code: 'card-failed', exit: 6, summary: 'It failed.', next: 'Look at it.' });

  function requireTold(bench: PrepareBench, { summary, json }: Attempt, count: number): void {
    const kept = json.kept as { path: string; keptAt: string }[];
    expect(kept.map(({ path }) => path)).toEqual(strays.slice(0, count).map(({ path }) => path));
    const folder = dirname(kept[0]?.keptAt ?? '');
    expect(summary).toContain(folder);
    expect(summary).toContain(count === 1 ? 'one file' : `${count} files`);
    for (const [index, { keptAt }] of kept.entries()) {
      expect(new Uint8Array(readFileSync(keptAt))).toEqual(strays[index]?.bytes);
    }
    const note = readFileSync(join(folder, 'about these files.txt'), 'utf8');
    expect(note).toContain(localFiles.absolute(benchCard));
    expect(note).toContain(`${bench.release.product}@${bench.release.version}`);
    expect(note).toContain('2026-11-24T20:00:00');
  }

  it('a card that fails at its first write', async () => {
    const { bench, card } = await benchOf({}, strays);
    const cards = memoryCards(card, (bytes) => ({
      ...memoryBlocks(bytes),
      write: () => {
        throw failing;
      },
    }));
    const attempt = await attemptPrepare(bench, cards);
    expect(attempt).toMatchObject({ exit: 6, code: 'card-failed' });
    requireTold(bench, attempt, 2);
  });

  it('a person who stops it between two copies', async () => {
    const { bench, card } = await benchOf({}, strays);
    let looks = 0;
    const stop = {
      get aborted() {
        return ++looks === 2;
      },
    };
    const attempt = await attemptPrepare(bench, memoryCards(card), { stop });
    expect(attempt).toMatchObject({ exit: 130, code: 'stopped' });
    requireTold(bench, attempt, 1);
  });

  it('a record that takes no entry of the card that is ready', async () => {
    const { bench, card } = await benchOf({}, strays);
    const attempt = await attemptPrepare(bench, memoryCards(card), { recordFails: failing });
    expect(attempt.summary).toContain('The card is ready, but that is not on record.');
    requireTold(bench, attempt, 2);
  });

  it('in the JSON of the error', () => {
    const failure = new Failure({
      ...failing.facts,
      more: { kept: [{ path: 'A.TXT', keptAt: '/kept/A.TXT' }] },
    });
    expect(failureJson(failure)).toMatchObject({ code: 'card-failed', kept: [{ path: 'A.TXT' }] });
  });
});

it('never takes a card for ready because no step was found for it', async () => {
  const release = releaseFor(image);
  const reader = memoryBlocks(makeCardBytes({ ...recipe, files: [{ path: 'RILL40.FWU', bytes: image }] }));
  const card = examineCard(reader);
  const rule = cardRule();
  const checked = await checkCard(card, reader, {
    wanted: { release, rule },
    known: [release],
    writeProtected: false,
  });
  const request = { release, rule, fresh: false, sourceIsCard: false, cardName: '' };
  expect(planInOwnFormat({ card, checked, reader }, request)).toMatchObject({ kind: 'plan', steps: [] });
  const fixable = { ...checked, verdict: 'fixable' } as const;
  expect(() => planInOwnFormat({ card, checked: fixable, reader }, request)).toThrow('without a step');
});

describe('another card under the same path', () => {
  /** From the n-th time on that the card is asked who it is, another one answers. */
  function swappedAt(card: { path: string; bytes: Uint8Array | undefined }, time: number) {
    let asked = 0;
    const cards = memoryCards(card);
    return {
      asked: () => asked,
      cards: {
        ...cards,
        identify: (path: string) => ({
          ...cards.identify(path),
          ...(++asked >= time && { device: '2:2' }),
        }),
      },
    };
  }

  it('is never written to nor called ready, whenever it is put there', async () => {
    const { bench, card } = await benchOf();
    const before = card.bytes!.slice();
    const counted = swappedAt(card, Number.POSITIVE_INFINITY);
    expect(await attemptPrepare(bench, counted.cards)).toMatchObject({ exit: 0, entries: 1 });
    expect(counted.asked()).toBe(3);
    for (let time = 2; time <= counted.asked(); time++) {
      card.bytes = before.slice();
      const attempt = await attemptPrepare(bench, swappedAt(card, time).cards);
      expect(attempt, `at ${time}`).toMatchObject({ exit: 5, code: 'card-changed', entries: 0 });
      if (time === 2) expect(Buffer.compare(card.bytes!, before)).toBe(0);
    }
  });

  it('nor is what was opened taken for what was looked at', async () => {
    const { bench, card } = await benchOf();
    const before = card.bytes!.slice();
    let opened = 0;
    const cards = memoryCards(card, (bytes) => ({
      ...memoryBlocks(bytes),
      device: ++opened > 1 ? '2:2' : '1:1',
    }));
    expect(await attemptPrepare(bench, cards)).toMatchObject({ exit: 5, code: 'card-changed', entries: 0 });
    expect(Buffer.compare(card.bytes!, before)).toBe(0);
  });

  it('and a file that took the place of an unfinished new card is not removed', async () => {
    const { bench } = await benchOf();
    const card = { path: benchCard, bytes: undefined };
    let removed = 0;
    const attempt = await attemptPrepare(bench, swappedAt(card, 1).cards, {
      fresh: true,
      size: '5MB',
      onRemove: () => void removed++,
    });
    expect(attempt).toMatchObject({ exit: 5, code: 'card-changed', entries: 0 });
    expect(attempt.summary).toContain('was left alone');
    expect(removed).toBe(0);
  });
});
