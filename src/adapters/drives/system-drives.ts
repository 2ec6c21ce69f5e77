// The Drives port on this computer's own system: asks lsblk, diskutil or PowerShell, and drivelist for a second
// opinion. Which of their answers means what stands in the three tables beside this file.

import { execFile } from 'node:child_process';
import { realpathSync } from 'node:fs';
import { win32 } from 'node:path';
import { promisify } from 'node:util';
import type { Drives, DriveTable } from '../../ports/drives.ts';
import { Failure } from '../../words/failure.ts';
import { printable } from '../../words/printable.ts';
import { disksIn, readDiskutil } from './diskutil-table.ts';
import { type DriveAct, driveOrders, type Order } from './drive-orders.ts';
import { lsblkColumns, readLsblk } from './lsblk-table.ts';
import { driveTableUnreadable } from './said.ts';
import { withSecondOpinion } from './second-opinion.ts';
import { readWindowsDisks, windowsScript } from './windows-table.ts';

const run = promisify(execFile);
const most = { timeout: 30_000, maxBuffer: 16 * 2 ** 20, windowsHide: true };

async function ask(program: string, args: readonly string[]): Promise<string> {
  try {
    const env = { ...process.env, LC_ALL: 'C' };
    return (await run(program, [...args], { ...most, env, encoding: 'utf8' })).stdout;
  } catch (error) {
    throw driveTableUnreadable(program, error);
  }
}

async function askLinux(): Promise<DriveTable> {
  const columns = [...lsblkColumns];
  try {
    return readLsblk(await ask('lsblk', ['-b', '-J', '-o', columns.join(',')]));
  } catch {
    // Older ones know no list of mount points.
    const older = columns.filter((column) => column !== 'MOUNTPOINTS');
    return readLsblk(await ask('lsblk', ['-b', '-J', '-o', older.join(',')]));
  }
}

async function askMac(): Promise<DriveTable> {
  const listed = await ask('diskutil', ['list', '-plist']);
  const infos = new Map<string, string>();
  for (const name of disksIn(listed)) infos.set(name, await ask('diskutil', ['info', '-plist', name]));
  return readDiskutil(listed, infos);
}

async function askWindows(): Promise<DriveTable> {
  const args = ['-NoProfile', '-NonInteractive', '-ExecutionPolicy', 'Bypass', '-Command', windowsScript];
  return readWindowsDisks(await ask('powershell.exe', args));
}

async function secondOpinion(): Promise<unknown> {
  try {
    const loaded = await import('drivelist');
    return await (loaded.default ?? loaded).list();
  } catch {
    // It is native code, which may not be built for this computer: then there is one opinion.
    return [];
  }
}

function notDone(act: DriveAct, error: unknown): Failure {
  const { stderr } = error as { stderr?: unknown };
  const said = typeof stderr === 'string' ? printable(stderr.trim().split('\n')[0] ?? '', 200) : '';
  const seen = said === '' ? {} : { seen: said };
  if (act.do === 'mount') {
    const summary = 'The card cannot be mounted again by this user.';
    const next = 'Open it in the file manager, then run the same command again.';
    return new Failure(
      { code: 'not-mounted', exit: 6, summary, ...seen, where: act.part.device, next },
      error,
    );
  }
  return new Failure(
    {
      code: 'card-busy',
      exit: 6,
      summary: 'The card cannot be unmounted: something uses it, or this user may not.',
      ...seen,
      where: act.drive.device,
      next: 'Close whatever shows files of the card, or eject it by hand; then run the same command again.',
    },
    error,
  );
}

async function firstThatWorks(ways: readonly Order[]): Promise<void> {
  let first: unknown = new Error('there is no way to do this here');
  let failed = false;
  for (const { program, args } of ways) {
    try {
      await run(program, [...args], most);
      return;
    } catch (error) {
      if (!failed) first = error;
      failed = true;
    }
  }
  throw first;
}

async function carryOut(act: DriveAct): Promise<void> {
  try {
    for (const ways of driveOrders(process.platform, act)) await firstThatWorks(ways);
  } catch (error) {
    throw notDone(act, error);
  }
}

export const systemDrives: Drives = {
  async list() {
    const asked = { linux: askLinux, darwin: askMac, win32: askWindows }[process.platform as string];
    if (asked === undefined) throw driveTableUnreadable(process.platform);
    const [table, seen] = await Promise.all([asked(), secondOpinion()]);
    return withSecondOpinion(table, seen);
  },

  resolve(path) {
    if (process.platform === 'win32') {
      const given = path.replaceAll('/', '\\');
      if (/^[A-Z]:\\?$/i.test(given)) return `${given.slice(0, 1).toUpperCase()}:\\`;
      if (/^\\\\\.\\/.test(given)) return given.toUpperCase();
      return win32.resolve(given);
    }
    try {
      return realpathSync(path);
    } catch {
      return undefined;
    }
  },

  unmount: (drive) => carryOut({ do: 'unmount', drive }),
  mount: (part, mountPoint) => carryOut({ do: 'mount', part, mountPoint }),
  eject: (drive) => carryOut({ do: 'eject', drive }),
};
