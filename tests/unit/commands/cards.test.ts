// `cards`, and what the other commands make of a CARD that is a drive: which one is meant, whether it may be written to,
// what confirms it. The computer is made up; nothing of a real drive is asked.

import { beforeAll, describe, expect, test } from 'vitest';
import { readLsblk } from '../../../src/adapters/drives/lsblk-table.ts';
import { driveIds } from '../../../src/card/drives/drive-id.ts';
import {
  requireCardChoice,
  requireConfirmedId,
  requireGuardedDrive,
} from '../../../src/commands/card-place.ts';
import { run } from '../../../src/commands/cards.ts';
import type { Context } from '../../../src/commands/context.ts';
import { isDrivePlace } from '../../../src/commands/drive-place.ts';
import type { DriveTable } from '../../../src/ports/drives.ts';
import { type LinuxDisk, linuxText, part, usb } from '../../support/drive-texts.ts';
import { failureOf, laterFailureOf } from '../../support/failure-of.ts';

const laptop: LinuxDisk = { name: 'nvme0n1', kids: [part('nvme0n1p1', 'ext4', '/')] };
const mounted = usb('sdb', {
  kids: [part('sdb1', 'vfat', '/media/q/CARD', { label: 'A\u001b[2J', uuid: '1-1' })],
});
const second = usb('sdc', { serial: 'READER02' });

function computer(...disks: readonly LinuxDisk[]) {
  let table: DriveTable = readLsblk(linuxText(laptop, ...disks));
  const links: Record<string, string> = {};
  const context = {
    workspace: { root: '/home/q/work' },
    shippedManifests: '/usr/lib/slotproof',
    files: {
      absolute: (path: string) => path,
      facts: (path: string) => (path.startsWith('/media') ? { kind: 'folder' } : undefined),
    },
    terminal: { interactive: false },
    drives: async () => ({
      list: async () => table,
      resolve: (path: string) => links[path] ?? (path.startsWith('/') ? path : undefined),
      unmount: async () => {},
      mount: async () => {},
      eject: async () => {},
    }),
  } as unknown as Context;
  return {
    context,
    links,
    plug: (...now: readonly LinuxDisk[]) => {
      table = readLsblk(linuxText(laptop, ...now));
    },
    idOf: (device: string) => driveIds(table).get(device) ?? '',
  };
}

describe('cards', () => {
  test('shows what is plugged in, what the contract names of it, and nothing of the computer itself', async () => {
    const { context, idOf } = computer(mounted, usb('sdd', { size: 0, kids: [] }));
    const { json, exit, text } = await run(context, [], {});
    expect(exit).toBe(0);
    expect(json).toMatchObject({
      cards: [
        {
          id: idOf('/dev/sdb'),
          device: '/dev/sdb',
          mountPoint: '/media/q/CARD',
          sizeBytes: 16e9,
          fileSystem: 'vfat',
          label: 'A\u001b[2J',
          model: 'Reader R1',
          usable: true,
        },
        {
          device: '/dev/sdd',
          mountPoint: null,
          sizeBytes: null,
          usable: false,
          why: 'there is no card in it',
        },
      ],
      notShown: 1,
    });
    expect(text).not.toContain('\u001b');
    expect(text.split('\n').at(-1)).toBe(`one card can be written to: ${idOf('/dev/sdb')}`);
  });

  test('says so where there is none, and where there are several', async () => {
    expect((await run(computer().context, [], {})).text).toMatch(/\nno card: put one in/);
    expect((await run(computer(mounted, second).context, [], {})).text).toMatch(
      /\n2 cards can be written to/,
    );
  });
});

describe('which card', () => {
  test('is never guessed: not even the only one, and of several all are named', async () => {
    for (const disks of [[mounted], [mounted, second]]) {
      const facts = await laterFailureOf(() => requireCardChoice(computer(...disks).context, 'Which card?'));
      expect(facts).toMatchObject({ code: 'answer-missing', exit: 2, expected: 'CARD' });
      expect(facts.more?.choices).toHaveLength(disks.length);
    }
    const facts = await laterFailureOf(() => requireCardChoice(computer().context, 'Which card?'));
    expect(facts).toMatchObject({ exit: 2 });
  });

  test('a path that does not exist yet, and a file, are no drives', () => {
    const { context } = computer(mounted);
    expect(isDrivePlace(context, 'new.img')).toBe(false);
    for (const drive of ['/dev/sdb', '/media/q/CARD', 'E:', 'e:\\', '\\\\.\\PHYSICALDRIVE1'])
      expect(isDrivePlace(context, drive)).toBe(true);
  });
});

describe('the guard of a command', () => {
  let pc: ReturnType<typeof computer>;
  beforeAll(() => {
    pc = computer(mounted, second);
  });
  const refused = (given: string, from?: string) =>
    laterFailureOf(() => requireGuardedDrive(pc.context, given, 32e9, from));

  test('finds the card by device and by mount point, and wants its ID', async () => {
    for (const given of ['/dev/sdb', '/media/q/CARD']) {
      const { chosen } = await requireGuardedDrive(pc.context, given, 32e9, undefined);
      expect(chosen.drive.device).toBe('/dev/sdb');
      expect(requireConfirmedId(chosen.id.toLowerCase(), chosen)).toBe(true);
      expect(requireConfirmedId(undefined, chosen)).toBe(false);
      for (const other of [pc.idOf('/dev/sdc'), '/dev/sdb', '']) {
        expect(failureOf(() => requireConfirmedId(other, chosen))).toMatchObject({
          code: 'other-card-confirmed',
          exit: 5,
        });
      }
    }
  });

  test('refuses each with its own code', async () => {
    expect(await refused('/')).toMatchObject({ code: 'system-path', exit: 5 });
    expect(await refused('/dev/nvme0n1')).toMatchObject({ exit: 5 });
    expect(await refused('/dev/sdb1')).toMatchObject({ code: 'a-partition', exit: 5 });
    expect(await refused('/dev/sdz')).toMatchObject({ code: 'card-absent', exit: 2 });
    expect(await refused('/media/q/CARD/FW')).toMatchObject({ code: 'card-absent', exit: 2 });
    expect(await refused('/dev/sdb', '/media/q/CARD/x.zip')).toMatchObject({
      code: 'in-use-by-tool',
      exit: 5,
    });
  });

  test('asks again, and any change is exit 5', async () => {
    const swapped = computer(mounted);
    const guarded = await requireGuardedDrive(swapped.context, '/dev/sdb', 32e9, undefined);
    await guarded.requireSame();
    swapped.plug(usb('sdb', { ptid: '77777777' }));
    expect(await laterFailureOf(() => guarded.requireSame())).toMatchObject({
      code: 'card-changed',
      exit: 5,
    });
    swapped.plug();
    expect(await laterFailureOf(() => guarded.requireSame())).toMatchObject({
      code: 'card-changed',
      exit: 5,
    });
    swapped.plug(mounted);
    swapped.links['/dev/sdb'] = '/dev/nvme0n1';
    expect(await laterFailureOf(() => guarded.requireSame())).toMatchObject({
      code: 'card-changed',
      exit: 5,
    });
  });
});
