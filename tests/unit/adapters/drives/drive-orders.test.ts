// What each system is asked to do with a card, to the letter, and what is never handed to it.

import { expect, it } from 'vitest';
import { driveOrders } from '../../../../src/adapters/drives/drive-orders.ts';
import type { Drive } from '../../../../src/ports/drives.ts';

const drive = (device: string, ...parts: readonly (readonly [device: string, ...at: string[]])[]) =>
  ({
    device,
    parts: parts.map(([name, ...mountPoints]) => ({ device: name, mountPoints })),
  }) as unknown as Drive;
const said = (platform: string, act: Parameters<typeof driveOrders>[1]) =>
  driveOrders(platform, act).map((ways) => ways.map(({ program, args }) => [program, ...args].join(' ')));

it('unmounts on Linux each place, the last one first, by the system and then by the desktop', () => {
  const card = drive('/dev/sdb', ['/dev/sdb1', '/media/q/A', '/media/q/A/B'], ['/dev/sdb2']);
  expect(said('linux', { do: 'unmount', drive: card })).toEqual([
    ['umount -- /media/q/A/B', 'udisksctl unmount --no-user-interaction -b /dev/sdb1'],
    ['umount -- /media/q/A', 'udisksctl unmount --no-user-interaction -b /dev/sdb1'],
  ]);
  expect(said('linux', { do: 'eject', drive: card })).toEqual(said('linux', { do: 'unmount', drive: card }));
});

it('mounts on Linux what users may mount, else by the desktop', () => {
  const [part] = drive('/dev/sdb', ['/dev/sdb1']).parts;
  if (part === undefined) throw new Error('no part');
  expect(said('linux', { do: 'mount', part, mountPoint: '/media/q/A' })).toEqual([
    ['mount -- /media/q/A', 'udisksctl mount --no-user-interaction -b /dev/sdb1'],
  ]);
  expect(said('win32', { do: 'mount', part, mountPoint: 'E:\\' })).toEqual([[]]);
});

it('asks diskutil on macOS, by the device and nothing else', () => {
  const card = drive('/dev/disk4', ['/dev/disk4s1', '/Volumes/CARD']);
  expect(said('darwin', { do: 'unmount', drive: card })).toEqual([['diskutil unmountDisk /dev/disk4']]);
  expect(said('darwin', { do: 'eject', drive: card })).toEqual([['diskutil eject /dev/disk4']]);
  expect(said('darwin', { do: 'eject', drive: drive('-force', ['x', '/Volumes/CARD']) })).toEqual([[]]);
});

it('ejects on Windows by the drive letter, and waits until it is gone', () => {
  const [[order = ''] = []] = said('win32', {
    do: 'eject',
    drive: drive('\\\\.\\PHYSICALDRIVE1', ['\\\\.\\E:', 'E:\\']),
  });
  expect(order).toMatch(/ParseName\('E:'\)\.InvokeVerb\('Eject'\).*Test-Path 'E:\\'.*exit 1/);
  const hostile = drive('\\\\.\\PHYSICALDRIVE1', ['x', "C:\\a'); rm *; ('"]);
  expect(said('win32', { do: 'eject', drive: hostile })[0]?.join()).toContain("ParseName('C:')");
  expect(said('win32', { do: 'eject', drive: drive('x', ['x', "');rm *;('"]) })).toEqual([[]]);
});

it('does nothing where nothing is mounted', () => {
  expect(said('linux', { do: 'eject', drive: drive('/dev/sdb', ['/dev/sdb1']) })).toEqual([]);
  expect(said('win32', { do: 'eject', drive: drive('x', ['x']) })).toEqual([]);
  expect(said('darwin', { do: 'unmount', drive: drive('/dev/disk4', ['/dev/disk4s1']) })).toEqual([]);
});
