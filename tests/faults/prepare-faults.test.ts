// Faults at every write of `prepare` on four cards, the person's Ctrl-C at every step, and cards that change
// between the question and the write. More faults in prepare-faults.long.test.ts.

import { describe, expect, it } from 'vitest';
import { directoryEntryFields } from '../../src/card/fat/directory-entry.ts';
import { examineCard } from '../../src/card/look/examine-card.ts';
import { slotOffsetBytes } from '../../src/card/look/examined-card.ts';
import { fatVolume } from '../support/fat-volume.ts';
import { askedFault, playAsked, playFaults } from '../support/fault-loop.ts';
import { makeGround, makeScene, requireHolds, runFault, type ScenarioGround } from '../support/fault-run.ts';
import { quickScenarios } from '../support/fault-scenarios.ts';
import { memoryBlocks } from '../support/memory-blocks.ts';
import { type MemoryCard, memoryCards } from '../support/memory-cards.ts';
import { type Attempt, attemptPrepare, contentsOnCard } from '../support/prepare-bench.ts';

const grounds = new Map<string, ScenarioGround>();

/** Each card is made once. */
function groundOf(name: string): ScenarioGround {
  const scenario = quickScenarios.find((one) => one.name === name);
  if (scenario === undefined) throw new Error(`no scenario ${name}`);
  const ground = grounds.get(name) ?? makeGround(scenario);
  grounds.set(name, ground);
  return ground;
}

if (askedFault() !== undefined) {
  it('the one case asked for', playAsked);
} else {
  describe('a fault at every write', () => {
    it.each(quickScenarios)(
      '$name',
      async (scenario) => {
        expect(await playFaults(groundOf(scenario.name))).toBeGreaterThan(3);
      },
      120_000,
    );
  });

  describe('the judges', () => {
    it('notice a card that never flushes: then the order of writes cannot save the only image', async () => {
      const ground = groundOf('misnamed');
      const seen: string[] = [];
      for (let at = 1; at <= 8; at++) {
        for (let seed = 1; seed <= 4; seed++) {
          await runFault(ground, { kind: 'power', at, seed, flushLies: true }).catch((error: Error) => {
            seen.push(error.message);
          });
        }
      }
      expect(seen.join('\n')).toMatch(/RILL40 \(1\)\.FWU is lost/);
    });

    it('notice a card that is called ready and is not', async () => {
      const ground = groundOf('littered');
      const { bench, card } = makeScene(ground);
      const claim: Attempt = {
        exit: 0,
        code: undefined,
        summary: '',
        json: { verdict: 'ready' },
        entries: 1,
      };
      await expect(requireHolds(ground, bench, claim, card.bytes)).rejects.toThrow('but the card is fixable');
    });
  });

  describe('stopped by the person at every step', () => {
    it.each(quickScenarios)('$name', async (scenario) => {
      const ground = groundOf(scenario.name);
      let stops = 0;
      for (let looks = 1; ; looks++) {
        const { bench, card } = makeScene(ground);
        let looked = 0;
        const stop = {
          get aborted() {
            looked++;
            return looked >= looks;
          },
        };
        const options = { fresh: scenario.fresh === true };
        const attempt = await attemptPrepare(bench, memoryCards(card), { ...options, stop });
        await requireHolds(ground, bench, attempt, card.bytes);
        if (attempt.exit === 0) break;
        stops++;
        expect(attempt).toMatchObject({ exit: 130, code: 'stopped' });
        const bytes = card.bytes ?? new Uint8Array();
        if (attempt.summary.includes('was not changed')) {
          expect(Buffer.compare(bytes, ground.card ?? bytes)).toBe(0);
        } else if (attempt.summary.includes('are as they were')) {
          expect(contentsOnCard(bytes)).toEqual(contentsOnCard(ground.card ?? new Uint8Array()));
          expect(fatVolume(examineCard(memoryBlocks(bytes))).dirty).toEqual({ boot: false, fat: false });
        } else expect(attempt.summary).toMatch(/The card is not ready\./);
        const again = await attemptPrepare(bench, memoryCards(card), options);
        expect(again.json.verdict, `stopped at look ${looks}: ${again.summary}`).toBe('ready');
        await requireHolds(ground, bench, again, card.bytes);
      }
      expect(stops).toBeGreaterThan(3);
    });
  });

  describe('another card than the one that was confirmed', () => {
    /** An entry of a folder: nothing of the first sectors changes. */
    function touchFolder(bytes: Uint8Array): void {
      const volume = fatVolume(examineCard(memoryBlocks(bytes)));
      const file = volume.nodes.find((node) => node.path === 'DCIM/IMG_0001.JPG');
      if (!file?.parent) throw new Error('the card is not the one that the test is about');
      const at = slotOffsetBytes(volume, file.parent, file.slot) + directoryEntryFields.modifiedTime.offset;
      bytes[at] = (bytes[at] ?? 0) ^ 0xff;
    }

    const changes: [string, (bytes: Uint8Array, card: MemoryCard) => void][] = [
      ['its first sectors', (bytes) => bytes.fill(0xaa, 440, 444)],
      ['what is on it', touchFolder],
      [
        'its size',
        (bytes, card) => {
          card.bytes = new Uint8Array(bytes.length + 512);
          card.bytes.set(bytes);
        },
      ],
      [
        'the file or device behind it',
        (_, card) => {
          card.device = '1:2';
        },
      ],
    ];

    it.each(changes)('%s', async (_, change) => {
      const { bench, card } = makeScene(groundOf('littered'));
      let before: Uint8Array | undefined;
      const meanwhile = () => {
        if (card.bytes !== undefined) change(card.bytes, card);
        before = card.bytes?.slice();
      };
      const attempt = await attemptPrepare(bench, memoryCards(card), { meanwhile });
      expect(attempt).toMatchObject({ exit: 5, code: 'card-changed', entries: 0 });
      expect(attempt.summary).toMatch(/The card was not changed\./);
      expect(Buffer.compare(card.bytes ?? Buffer.of(), before ?? Buffer.of(1))).toBe(0);
    });
  });
}
