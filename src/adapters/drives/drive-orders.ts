// The programs that unmount, mount and eject a card, as each system has them: for each step the ways to try, one after
// another. Runs nothing. A name that could be taken for an option, or for code, is refused.

import type { Drive, DrivePart } from '../../ports/drives.ts';

export interface Order {
  readonly program: string;
  readonly args: readonly string[];
}

/** All steps are done in turn; of each the first way that works. */
export type Orders = readonly (readonly Order[])[];

export type DriveAct =
  | { readonly do: 'unmount' | 'eject'; readonly drive: Drive }
  | { readonly do: 'mount'; readonly part: DrivePart; readonly mountPoint: string };

const udisks = (verb: 'mount' | 'unmount', device: string): Order => ({
  program: 'udisksctl',
  args: [verb, '--no-user-interaction', '-b', device],
});

function linux(act: DriveAct): Orders {
  if (act.do === 'mount') {
    // The first is for what /etc/fstab lets users mount.
    return [[{ program: 'mount', args: ['--', act.mountPoint] }, udisks('mount', act.part.device)]];
  }
  const mounted = act.drive.parts.flatMap((part) => part.mountPoints.map((point) => ({ part, point })));
  // The last one mounted first: one may lie within another.
  return mounted
    .reverse()
    .map(({ part, point }) => [{ program: 'umount', args: ['--', point] }, udisks('unmount', part.device)]);
}

function mac(act: DriveAct): Orders {
  const device = act.do === 'mount' ? act.part.device : act.drive.device;
  if (!/^\/dev\/disk\d+(s\d+)*$/.test(device)) return [[]];
  const verb = { mount: 'mount', unmount: 'unmountDisk', eject: 'eject' }[act.do];
  return [[{ program: 'diskutil', args: [verb, device] }]];
}

/** Windows lets nobody unmount without rights but by ejecting, after which the card must come out. */
function windows(act: DriveAct): Orders {
  if (act.do === 'mount') return [[]];
  const letter = act.drive.parts.flatMap((part) => part.mountPoints)[0]?.slice(0, 2) ?? '';
  if (!/^[A-Z]:$/i.test(letter)) return [[]];
  const eject = `(New-Object -ComObject Shell.Application).Namespace(17).ParseName('${letter}').InvokeVerb('Eject')`;
  // The verb answers at once; the letter is looked for until it is gone.
  const wait = `for($i=0;$i -lt 40 -and (Test-Path '${letter}\\');$i++){Start-Sleep -Milliseconds 250};if(Test-Path '${letter}\\'){exit 1}`;
  return [
    [{ program: 'powershell.exe', args: ['-NoProfile', '-NonInteractive', '-Command', `${eject};${wait}`] }],
  ];
}

/** A step without a way: it cannot be done on this system. Nothing mounted: no step. */
export function driveOrders(platform: string, act: DriveAct): Orders {
  const places =
    act.do === 'mount' ? act.part.mountPoints : act.drive.parts.flatMap((part) => part.mountPoints);
  if (act.do === 'unmount' && places.length === 0) return [];
  if (platform === 'darwin') return mac(act);
  if (platform === 'win32') return act.do === 'eject' && places.length === 0 ? [] : windows(act);
  return linux(act);
}
