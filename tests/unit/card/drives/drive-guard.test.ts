// Made-up computers: nothing but the card that each of them names by hand may be written to, whatever is asked for, and
// nothing that changed between the question and the first write.

import { describe, expect, test } from 'vitest';
import { driveFitness, mountPointsOf } from '../../../../src/card/drives/drive-fitness.ts';
import { decideAgain, decideWrite, recogniseAgain } from '../../../../src/card/drives/drive-guard.ts';
import { driveIds, isSameId } from '../../../../src/card/drives/drive-id.ts';
import type { Drive, DriveTable } from '../../../../src/ports/drives.ts';
import { type MadeUpComputer, madeUpComputers, type Swap, swaps } from '../../../support/drive-tables.ts';

const limits = { maxBytes: 32e9, ownPaths: ['/home/q/.local/share/slotproof'] };

/** Every device, partition and mount point that the guard lets through where it must not, or refuses where it must. */
function wrongAnswers({ table, cards }: MadeUpComputer, decide: typeof decideWrite): string[] {
  return table.drives.flatMap((drive) => {
    const isCard = cards.includes(drive.device);
    const wrong: string[] = [];
    for (const path of [drive.device, ...mountPointsOf(drive)]) {
      const allowed = decide(table, { given: path, leadsTo: path }, limits).kind === 'allowed';
      if (allowed !== isCard) wrong.push(`${path} is ${allowed ? 'allowed' : 'refused'}`);
    }
    for (const { device } of drive.parts) {
      if (device === '' || device === drive.device || mountPointsOf(drive).includes(device)) continue;
      if (decide(table, { given: device, leadsTo: device }, limits).kind === 'allowed')
        wrong.push(`the part ${device} is allowed`);
    }
    return wrong;
  });
}

function swapAnswer({ before, now, given, ledTo, leadsTo }: Swap, decide = decideAgain): string {
  const first = decideWrite(before, { given, leadsTo: ledTo }, limits);
  if (first.kind === 'refused') return `refused at once: ${first.reason}`;
  const again = decide(first.chosen, now, { given, leadsTo }, limits);
  return again.kind === 'allowed' ? 'allowed' : again.reason;
}

describe('made-up computers', () => {
  test('there are enough of them', () => {
    expect(madeUpComputers.length + swaps.length).toBeGreaterThanOrEqual(60);
    expect(new Set(madeUpComputers.map(({ name }) => name)).size).toBe(madeUpComputers.length);
  });

  test.each(madeUpComputers.map((one) => [one.name, one] as const))('%s', (_, computer) => {
    expect(wrongAnswers(computer, decideWrite)).toEqual([]);
    const devices = computer.table.drives.map(({ device }) => device);
    for (const card of computer.cards) expect(devices).toContain(card);
  });

  test('what is not there is never allowed', () => {
    for (const { table } of madeUpComputers) {
      for (const leadsTo of ['/dev/sdz', '/', '/media', 'X:\\', undefined]) {
        if (leadsTo === '/' && table.drives.some((drive) => mountPointsOf(drive).includes('/'))) continue;
        expect(decideWrite(table, { given: 'x', leadsTo }, limits).kind).toBe('refused');
      }
    }
  });
});

describe('between the question and the first write', () => {
  test.each(swaps.map((one) => [one.name, one] as const))('%s', (_, swap) => {
    const answer = swapAnswer(swap);
    expect(answer).not.toMatch(/at once/);
    expect(answer === 'allowed').toBe(swap.mayWrite);
  });
});

test('the judge sees a guard that looks at nothing', () => {
  const blind: typeof decideWrite = (table, wanted) => ({
    kind: 'allowed',
    chosen: { drive: table.drives[0] as Drive, id: '', wanted, mountPoint: undefined },
  });
  const caught = madeUpComputers.filter((one) => wrongAnswers(one, blind).length > 0);
  expect(caught.length).toBeGreaterThan(60);
  const trusting: typeof decideAgain = (chosen) => ({ kind: 'allowed', chosen });
  expect(
    swaps.filter((one) => (swapAnswer(one, trusting) === 'allowed') !== one.mayWrite).length,
  ).toBeGreaterThan(10);
});

describe('limits', () => {
  const stick = madeUpComputers.find(
    ({ name }) => name === 'Linux: a card mounted by the desktop',
  ) as MadeUpComputer;
  const drive = stick.table.drives[1] as Drive;

  test('what the tool works with is not written over', () => {
    for (const own of ['/run/media/q/CARD', '/run/media/q/CARD/downloads/x.zip']) {
      expect(driveFitness(drive, { ownPaths: [own] }).reason).toBe('in-use-by-tool');
    }
    expect(driveFitness(drive, { ownPaths: ['/run/media/q/CARDS/x'] }).reason).toBeNull();
  });

  test('far too large begins at four times the rule, and never below 64 GB', () => {
    const sized = (sizeBytes: number) => driveFitness({ ...drive, sizeBytes }, { maxBytes: 32e9 }).reason;
    expect([sized(128e9), sized(128e9 + 512)]).toEqual([null, 'far-too-large']);
    const small = (sizeBytes: number) => driveFitness({ ...drive, sizeBytes }, { maxBytes: 2e9 }).reason;
    expect([small(64e9), small(64e9 + 512)]).toEqual([null, 'far-too-large']);
    expect(driveFitness({ ...drive, sizeBytes: 2e12 + 512 }).reason).toBe('far-too-large');
  });
});

describe('the ID', () => {
  const swapNamed = (name: string) => swaps.find((one) => one.name === name) as Swap;
  const idOf = (table: DriveTable, device: string) => driveIds(table).get(device);

  test('is the same for the same card under another name, and another for another card', () => {
    const { before } = swapNamed('nothing');
    const { now } = swapNamed('it came back under another name, a disk took its own');
    expect(idOf(now, '/dev/sdc')).toBe(idOf(before, '/dev/sdb'));
    expect(idOf(now, '/dev/sdb')).not.toBe(idOf(before, '/dev/sdb'));
    const other = swapNamed('another card of the same size').now;
    expect(idOf(other, '/dev/sdb')).not.toBe(idOf(before, '/dev/sdb'));
  });

  test('no two drives of a computer share one, even where nothing but the place tells them apart', () => {
    for (const { table } of madeUpComputers) {
      const ids = [...driveIds(table).values()];
      expect(new Set(ids).size).toBe(table.drives.length);
    }
    const drive = (swapNamed('nothing').before.drives[1] ?? {}) as Drive;
    const twins = driveIds({ drives: [drive, { ...drive, device: '/dev/sdc' }] });
    expect(new Set(twins.values()).size).toBe(2);
  });

  test('is typed as one likes', () => {
    const id = idOf(swapNamed('nothing').before, '/dev/sdb') ?? '';
    expect(id).toMatch(/^[2-9B-Z]{4}-[2-9B-Z]{4}$/);
    expect(isSameId(` ${id.toLowerCase().replace('-', ' ')}`, id)).toBe(true);
    expect(isSameId(id.slice(1), id)).toBe(false);
    expect(isSameId('', id)).toBe(false);
  });
});

test('a card that was put back is recognised under any name, another is not', () => {
  const chosenOf = (swap: Swap) => {
    const first = decideWrite(swap.before, { given: swap.given, leadsTo: swap.ledTo }, limits);
    if (first.kind === 'refused') throw new Error(first.reason);
    return first.chosen;
  };
  for (const swap of swaps) {
    const again = recogniseAgain(chosenOf(swap), swap.now);
    if (swap.name === 'it came back under another name, a disk took its own')
      expect(again?.device).toBe('/dev/sdc');
    if (
      /^(it is gone|another card of the same size|the same table on another volume|a larger card)/.test(
        swap.name,
      )
    )
      expect(again, swap.name).toBeUndefined();
  }
});
