// The Drives port on this computer's own system: asks lsblk, diskutil or PowerShell, and drivelist for a second
// opinion. Which of their answers means what stands in the three tables beside this file.

import { execFile } from 'node:child_process';
import { realpathSync } from 'node:fs';
import { win32 } from 'node:path';
import { promisify } from 'node:util';
import type { Drive, Drives, DriveTable } from '../../ports/drives.ts';
import { Failure } from '../../words/failure.ts';
import { printable } from '../../words/printable.ts';
import { disksIn, readDiskutil } from './diskutil-table.ts';
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

function stillMounted(drive: Drive, error: unknown): Failure {
  const { stderr } = error as { stderr?: unknown };
  const said = typeof stderr === 'string' ? printable(stderr.trim().split('\n')[0] ?? '', 200) : '';
  return new Failure(
    {
      code: 'card-busy',
      exit: 6,
      summary: 'The card cannot be unmounted: something uses it, or this user may not.',
      ...(said === '' ? {} : { seen: said }),
      where: drive.device,
      next: 'Close whatever shows files of the card, or eject it by hand; then run the same command again.',
    },
    error,
  );
}

async function unmountOne(device: string, mountPoint: string): Promise<void> {
  try {
    await run('umount', ['--', mountPoint], most);
  } catch (error) {
    try {
      await run('udisksctl', ['unmount', '--no-user-interaction', '-b', device], most);
    } catch {
      throw error;
    }
  }
}

async function unmount(drive: Drive): Promise<void> {
  const mounted = drive.parts.flatMap((part) => part.mountPoints.map((point) => ({ part, point })));
  if (mounted.length === 0) return;
  try {
    if (process.platform === 'darwin') await run('diskutil', ['unmountDisk', drive.device], most);
    else if (process.platform === 'win32') {
      const letter = mounted[0]?.point.slice(0, 2) ?? '';
      if (!/^[A-Z]:$/i.test(letter)) throw new Error('no drive letter');
      const eject = `(New-Object -ComObject Shell.Application).Namespace(17).ParseName('${letter}').InvokeVerb('Eject')`;
      await run('powershell.exe', ['-NoProfile', '-NonInteractive', '-Command', eject], most);
    } else {
      // The last one mounted first: one may lie within another.
      for (const { part, point } of mounted.reverse()) await unmountOne(part.device, point);
    }
  } catch (error) {
    throw stillMounted(drive, error);
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

  unmount,
};
