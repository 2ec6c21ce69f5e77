// A card that was taken out and put back: whatever comes into the reader in its place, only the same card is ever taken
// for it. Over every made-up computer and every made-up swap.

import { expect, test } from 'vitest';
import { decideWrite } from '../../../src/card/drives/drive-guard.ts';
import type { Drive, DriveTable } from '../../../src/ports/drives.ts';
import { waitForCard } from '../../../src/transfer/mounted/wait-for-card.ts';
import { Failure } from '../../../src/words/failure.ts';
import { madeUpComputers, swaps } from '../../support/drive-tables.ts';

const nobody = { drives: [] };

/** What a person sees on it, compared by hand. */
const isSame = (a: Drive, b: Drive) =>
  a.sizeBytes === b.sizeBytes &&
  a.tableId === b.tableId &&
  (a.bus !== 'mmc' || a.serial === b.serial) &&
  JSON.stringify(a.parts.map((part) => [part.sizeBytes, part.volumeId])) ===
    JSON.stringify(b.parts.map((part) => [part.sizeBytes, part.volumeId]));

/** Everything that a desktop would mount is mounted. */
const mounted = ({ drives }: DriveTable): DriveTable => ({
  drives: drives.map((drive) => ({
    ...drive,
    parts: drive.parts.map((part) =>
      part.mountPoints.length > 0 ? part : { ...part, mountPoints: [`/media/q/${part.device}`] },
    ),
  })),
});

async function play(before: Drive, tables: readonly DriveTable[], stop = { aborted: false }) {
  const first = decideWrite({ drives: [before] }, { given: before.device, leadsTo: before.device }, {});
  if (first.kind === 'refused') return undefined;
  let at = 0;
  const said: string[] = [];
  try {
    const back = await waitForCard(
      {
        drives: {
          list: async () => tables[Math.min(at++, tables.length - 1)] ?? nobody,
          resolve: (path) => path,
          unmount: async () => {},
          mount: async () => {},
          eject: async () => {},
        },
        stop,
        pause: async () => {},
        say: (line) => void said.push(line),
      },
      first.chosen,
      '/media/q/CARD',
    );
    return { back, said, code: undefined };
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    return { back: undefined, said, code: error.facts.code };
  }
}

test('every swap: the card itself, or nothing', async () => {
  let same = 0;
  let others = 0;
  for (const { name, before, now, ledTo } of swaps) {
    const drive = before.drives.find(
      (one) => one.device === ledTo || one.parts.some((part) => part.mountPoints.includes(ledTo)),
    );
    if (drive === undefined) continue;
    const out = { drives: before.drives.filter((one) => one !== drive) };
    const played = await play(drive, [before, out, out, mounted(now)]);
    if (played?.back !== undefined) {
      expect(isSame(played.back, drive), name).toBe(true);
      same++;
    } else others++;
  }
  expect(same).toBeGreaterThan(5);
  expect(others).toBeGreaterThan(8);
});

test('every other computer’s cards and disks in its place are refused, or waited past', async () => {
  const card = swaps[0]?.before.drives.at(-1) as Drive;
  for (const { name, table } of madeUpComputers) {
    const played = await play(card, [{ drives: [card] }, nobody, mounted(table)]);
    if (played?.back !== undefined) expect(isSame(played.back, card), name).toBe(true);
  }
});

test('another card in the reader ends it with exit 5, a late table does not', async () => {
  const card = swaps[0]?.before.drives.at(-1) as Drive;
  const other = { ...card, tableId: '99999999' };
  const late = { ...card, tableId: null, parts: [] };
  const back = mounted({ drives: [card] });
  expect(await play(card, [{ drives: [card] }, nobody, mounted({ drives: [other] })])).toMatchObject({
    code: 'card-changed',
  });
  const played = await play(card, [{ drives: [card] }, nobody, { drives: [late] }, { drives: [late] }, back]);
  expect(played).toMatchObject({ code: undefined, back: { device: card.device } });
});

test('nobody moves it: it is not waited for ever, and Ctrl-C ends it at once', async () => {
  const card = swaps[0]?.before.drives.at(-1) as Drive;
  expect(await play(card, [{ drives: [card] }])).toMatchObject({ back: undefined, code: undefined });
  expect(await play(card, [nobody])).toMatchObject({ back: undefined, code: undefined });
  expect(await play(card, [{ drives: [card] }], { aborted: true })).toMatchObject({ code: 'stopped' });
});
