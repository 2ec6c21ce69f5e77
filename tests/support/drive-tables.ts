// Computers with drives in them, made up: what is plugged in, and which of it is the card. The guard must let nothing
// else be written. Each names its cards by hand; nothing here asks the code that is judged.

import { readDiskutil } from '../../src/adapters/drives/diskutil-table.ts';
import { readLsblk } from '../../src/adapters/drives/lsblk-table.ts';
import { readWindowsDisks } from '../../src/adapters/drives/windows-table.ts';
import type { DriveTable } from '../../src/ports/drives.ts';
import {
  type LinuxDisk,
  linuxText,
  type MacDisk,
  macInfo,
  macTexts,
  part,
  usb,
  type WindowsDisk,
  windowsText,
} from './drive-texts.ts';

export interface MadeUpComputer {
  readonly name: string;
  readonly table: DriveTable;
  /** Devices that may be written to. */
  readonly cards: readonly string[];
}

const linux = (name: string, cards: readonly string[], ...disks: readonly LinuxDisk[]): MadeUpComputer => ({
  name: `Linux: ${name}`,
  table: readLsblk(linuxText(...disks)),
  cards,
});
const mac = (name: string, cards: readonly string[], ...disks: readonly MacDisk[]): MadeUpComputer => {
  const { listed, infos } = macTexts(...disks);
  return { name: `macOS: ${name}`, table: readDiskutil(listed, infos), cards };
};
const windows = (
  name: string,
  cards: readonly number[],
  disks: readonly WindowsDisk[],
  pages?: string[],
): MadeUpComputer => ({
  name: `Windows: ${name}`,
  table: readWindowsDisks(windowsText(disks, pages)),
  cards: cards.map((n) => `\\\\.\\PHYSICALDRIVE${n}`),
});

const laptop: LinuxDisk = {
  name: 'nvme0n1',
  pt: 'gpt',
  kids: [part('nvme0n1p1', 'vfat', '/boot/efi'), part('nvme0n1p2', 'ext4', '/')],
};
const slot = (more: Partial<LinuxDisk> = {}): LinuxDisk => ({
  name: 'mmcblk0',
  pt: 'dos',
  ptid: '0badcafe',
  kids: [part('mmcblk0p1', 'vfat', null, { uuid: '9C33-0A01' })],
  ...more,
});
const ownDisk: LinuxDisk = { name: 'sda', kids: [part('sda1', 'ext4', '/')] };

const linuxComputers: MadeUpComputer[] = [
  linux('a laptop without a card', [], laptop),
  linux('a laptop with a card in its slot', ['/dev/mmcblk0'], laptop, slot()),
  linux(
    'a card without a table',
    ['/dev/mmcblk0'],
    laptop,
    slot({ kids: [], pt: null, fs: 'vfat', at: ['/media/q/CARD'] }),
  ),
  linux('a new card with nothing on it', ['/dev/mmcblk0'], laptop, slot({ kids: [], pt: null })),
  linux(
    'a card mounted by the desktop',
    ['/dev/sdb'],
    laptop,
    usb('sdb', { kids: [part('sdb1', 'vfat', '/run/media/q/CARD')] }),
  ),
  linux('a write-protected card', [], laptop, slot({ ro: true })),
  linux('a stick', ['/dev/sda'], laptop, usb('sda')),
  linux('a stick that says it is fixed', ['/dev/sda'], laptop, usb('sda', { rm: false })),
  linux(
    'a dock with four slots, one card',
    ['/dev/sdc'],
    laptop,
    usb('sda', { size: 0, kids: [] }),
    usb('sdb', { size: null, kids: [] }),
    usb('sdc'),
    usb('sdd', { size: 0, kids: [] }),
  ),
  linux(
    'two sticks and a card',
    ['/dev/mmcblk0', '/dev/sda', '/dev/sdb'],
    laptop,
    slot(),
    usb('sda'),
    usb('sdb', { serial: 'READER02' }),
  ),
  linux(
    'the system on a USB stick',
    [],
    usb('sda', { kids: [part('sda1', 'vfat', '/boot/efi'), part('sda2', 'ext4', '/')] }),
    { name: 'nvme0n1' },
  ),
  linux(
    'a live system on a stick',
    [],
    usb('sda', { fs: 'iso9660', kids: [part('sda1', 'iso9660', '/run/live/medium')] }),
    { name: 'nvme0n1' },
  ),
  linux('another live system', [], usb('sda', { kids: [part('sda1', 'vfat', '/cdrom')] })),
  linux(
    'a live system in memory, its stick mounted',
    [],
    usb('sda', { kids: [part('sda1', 'vfat', '/run/initramfs/live')] }),
  ),
  linux('the system on a card', [], {
    name: 'mmcblk0',
    kids: [part('mmcblk0p1', 'vfat', '/boot/firmware'), part('mmcblk0p2', 'ext4', '/')],
  }),
  linux(
    'the system on soldered memory',
    [],
    { name: 'mmcblk0', kids: [part('mmcblk0p2', 'ext4', '/')] },
    { name: 'mmcblk0boot0', ro: true, size: 4_194_304 },
    { name: 'mmcblk0boot1', ro: true, size: 4_194_304 },
  ),
  linux(
    'soldered memory beside the slot',
    ['/dev/mmcblk1'],
    { name: 'mmcblk0', kids: [part('mmcblk0p1', 'ext4', null)] },
    { name: 'mmcblk0boot0', size: 4_194_304 },
    { name: 'mmcblk1', pt: 'dos', kids: [part('mmcblk1p1', 'vfat', null)] },
    laptop,
  ),
  linux(
    'soldered memory, nothing of it mounted',
    [],
    laptop,
    { name: 'mmcblk0', size: 32e9 },
    { name: 'mmcblk0boot0', ro: true, size: 4_194_304 },
  ),
  linux('an internal SATA disk', [], laptop, {
    name: 'sda',
    kids: [part('sda1', 'ntfs', '/media/q/WINDOWS')],
  }),
  linux('a SATA disk in a hot-plug bay', [], laptop, { name: 'sda', hotplug: true }),
  linux('a SATA disk that says removable', [], laptop, { name: 'sda', rm: true, hotplug: true }),
  linux('a second NVMe drive', [], laptop, { name: 'nvme1n1', size: 32e9 }),
  linux('a USB disk far too large', [], laptop, usb('sdb', { size: 4e12, rm: false })),
  linux('swap on a stick', [], laptop, usb('sdb', { kids: [part('sdb1', 'swap', '[SWAP]')] })),
  linux('home on a USB disk', [], laptop, usb('sdb', { rm: false, kids: [part('sdb1', 'ext4', '/home')] })),
  linux('somebody’s home on a stick', [], laptop, usb('sdb', { kids: [part('sdb1', 'ext4', '/home/q')] })),
  linux(
    'data of a service on a stick',
    [],
    laptop,
    usb('sdb', { kids: [part('sdb1', 'ext4', '/srv/data')] }),
  ),
  linux(
    'a stick mounted twice, once by the system',
    [],
    laptop,
    usb('sdb', { kids: [part('sdb1', 'ext4', null, { at: ['/media/q/X', '/var/lib/store'] })] }),
  ),
  linux(
    'an unlocked container on a stick',
    [],
    laptop,
    usb('sdb', {
      kids: [
        part('sdb1', 'crypto_LUKS', null, {
          kids: [{ name: 'luks-1', type: 'crypt', fs: 'ext4', at: ['/media/q/SECRET'] }],
        }),
      ],
    }),
  ),
  linux(
    'the system in a container on a stick',
    [],
    usb('sdb', {
      kids: [
        part('sdb1', 'crypto_LUKS', null, { kids: [{ name: 'root', type: 'crypt', fs: 'ext4', at: ['/'] }] }),
      ],
    }),
  ),
  linux(
    'the system on logical volumes of a stick',
    [],
    usb('sdb', {
      kids: [
        part('sdb1', 'LVM2_member', null, {
          kids: [
            { name: 'vg-root', type: 'lvm', fs: 'ext4', at: ['/'] },
            { name: 'vg-swap', type: 'lvm', at: ['[SWAP]'] },
          ],
        }),
      ],
    }),
  ),
  linux('logical volumes not in use', [], laptop, usb('sdb', { kids: [part('sdb1', 'LVM2_member', null)] })),
  linux(
    'a container, a logical volume within, mounted',
    [],
    laptop,
    usb('sdb', {
      kids: [
        part('sdb1', 'crypto_LUKS', null, {
          kids: [
            {
              name: 'c',
              type: 'crypt',
              fs: 'LVM2_member',
              kids: [{ name: 'vg-x', type: 'lvm', at: ['/media/q/x'] }],
            },
          ],
        }),
      ],
    }),
  ),
  linux(
    'one of an array on USB',
    [],
    laptop,
    usb('sdb', {
      kids: [
        part('sdb1', 'linux_raid_member', null, {
          kids: [{ name: 'md0', type: 'raid1', at: ['/mnt/backup'] }],
        }),
      ],
    }),
  ),
  linux(
    'one of an array, the array not running',
    [],
    laptop,
    usb('sdb', { kids: [part('sdb1', 'linux_raid_member')] }),
  ),
  linux('a whole disk in an array', [], laptop, usb('sdb', { pt: null, kids: [], fs: 'linux_raid_member' })),
  linux(
    'a ZFS pool on USB',
    [],
    laptop,
    usb('sdb', { kids: [part('sdb1', 'zfs_member', null, { label: 'tank' }), part('sdb9', null)] }),
  ),
  linux('a cache device', [], laptop, usb('sdb', { pt: null, kids: [], fs: 'bcache' })),
  linux('several paths to one disk', [], laptop, {
    name: 'sdb',
    tran: 'fc',
    kids: [{ name: 'mpatha', type: 'mpath', at: [null] }],
  }),
  linux('a disk over the network', [], laptop, {
    name: 'sdb',
    tran: 'iscsi',
    rm: true,
    hotplug: true,
    size: 16e9,
  }),
  linux('a mounted card image', [], laptop, { name: 'loop0', fs: 'vfat', at: ['/media/q/IMAGE'] }),
  linux(
    'loop devices of packages',
    [],
    laptop,
    { name: 'loop0', at: ['/snap/core/1'] },
    { name: 'loop1', at: ['/snap/core/2'] },
  ),
  linux('compressed memory', [], laptop, { name: 'zram0', at: ['[SWAP]'] }),
  linux('a network block device', [], laptop, { name: 'nbd0', size: 16e9, hotplug: true, rm: true }),
  linux('a disc in a drive', [], laptop, {
    name: 'sr0',
    type: 'rom',
    tran: 'usb',
    rm: true,
    hotplug: true,
    size: 700e6,
    at: ['/media/q/DISC'],
  }),
  linux('a floppy', [], laptop, { name: 'fd0', rm: true, hotplug: true, size: 1_474_560 }),
  linux('a virtual machine’s own disk', [], { name: 'vda', kids: [part('vda1', 'ext4', '/')] }),
  linux(
    'an empty second disk of a virtual machine',
    [],
    { name: 'vda', kids: [part('vda1', 'ext4', '/')] },
    { name: 'vdb', size: 16e9 },
  ),
  linux('a reader on a bus of its own', ['/dev/sdb'], ownDisk, {
    name: 'sdb',
    tran: null,
    sub: 'block:scsi:pci',
    rm: true,
    hotplug: true,
    size: 8e9,
  }),
  linux('a drive of an unknown kind', [], ownDisk, { name: 'xyz0', tran: null, sub: 'block', size: 8e9 }),
  linux(
    'a closed container on a stick',
    ['/dev/sdb'],
    laptop,
    usb('sdb', { kids: [part('sdb1', 'crypto_LUKS')] }),
  ),
  linux(
    'a card with three partitions, one of the system',
    [],
    laptop,
    usb('sdb', {
      kids: [part('sdb1', 'vfat', '/media/q/A'), part('sdb2', 'ext4', null), part('sdb3', 'ext4', '/opt')],
    }),
  ),
];

const macSystem: MacDisk[] = [
  {
    name: 'disk0',
    size: 500e9,
    content: 'GUID_partition_scheme',
    parts: [{ content: 'Apple_APFS_ISC' }, { content: 'Apple_APFS' }],
    info: macInfo.own,
  },
  {
    name: 'disk3',
    size: 494e9,
    content: 'EF57347C-0000-11AA-AA11-0030654',
    stores: ['disk0s2'],
    volumesAt: ['/', '/System/Volumes/Data'],
    info: { VirtualOrPhysical: 'Virtual', Internal: true },
  },
];
const fat = { content: 'Windows_FAT_32', at: '/Volumes/CARD', label: 'CARD', uuid: 'A-1' };

const macComputers: MadeUpComputer[] = [
  mac('a laptop without a card', [], ...macSystem),
  mac('a card in the slot', ['/dev/disk4'], ...macSystem, {
    name: 'disk4',
    parts: [fat],
    info: macInfo.slot,
  }),
  mac('a stick', ['/dev/disk4'], ...macSystem, { name: 'disk4', parts: [fat], info: macInfo.usb }),
  mac('a write-protected card', [], ...macSystem, {
    name: 'disk4',
    parts: [fat],
    info: { ...macInfo.slot, WritableMedia: false },
  }),
  mac(
    'the system on a USB drive',
    [],
    {
      name: 'disk4',
      size: 32e9,
      content: 'GUID_partition_scheme',
      parts: [{ content: 'Apple_APFS' }],
      info: macInfo.usb,
    },
    { name: 'disk5', stores: ['disk4s1'], volumesAt: ['/'], info: { VirtualOrPhysical: 'Virtual' } },
  ),
  mac(
    'a back-up disk on APFS',
    [],
    ...macSystem,
    { name: 'disk4', size: 64e9, parts: [{ content: 'Apple_APFS' }], info: macInfo.usb },
    {
      name: 'disk5',
      stores: ['disk4s1'],
      volumesAt: ['/Volumes/Backup'],
      info: { VirtualOrPhysical: 'Virtual' },
    },
  ),
  mac('a mounted disk image', [], ...macSystem, {
    name: 'disk4',
    parts: [fat],
    info: { ...macInfo.usb, BusProtocol: 'Disk Image', VirtualOrPhysical: 'Virtual' },
  }),
  mac('a second internal drive', [], ...macSystem, {
    name: 'disk1',
    size: 64e9,
    parts: [fat],
    info: { ...macInfo.own, BusProtocol: 'SATA' },
  }),
  mac('a Thunderbolt drive', [], ...macSystem, {
    name: 'disk4',
    size: 64e9,
    parts: [fat],
    info: { ...macInfo.usb, BusProtocol: 'PCI-Express', RemovableMedia: false },
  }),
  mac('a drive of which nothing is told', [], ...macSystem, { name: 'disk4', parts: [fat], info: {} }),
];

const windowsSystem: WindowsDisk = {
  n: 0,
  bus: 'NVMe',
  size: 512e9,
  boot: true,
  parts: [{ letter: 'C', fs: 'NTFS', kind: 'Fixed', boot: true }],
};

const windowsComputers: MadeUpComputer[] = [
  windows('a laptop without a card', [], [windowsSystem]),
  windows('a card in the slot', [1], [windowsSystem, { n: 1, bus: 'SD', parts: [{ letter: 'E' }] }]),
  windows(
    'a stick, told in numbers',
    [1],
    [
      { ...windowsSystem, bus: 17 },
      { n: 1, bus: 7, parts: [{ letter: 'E', kind: 2 }] },
    ],
  ),
  windows('a card without a letter', [1], [windowsSystem, { n: 1, bus: 'USB', parts: [] }]),
  windows('an empty reader', [], [windowsSystem, { n: 1, bus: 'USB', size: 0 }]),
  windows(
    'a write-protected card',
    [],
    [windowsSystem, { n: 1, bus: 'USB', ro: true, parts: [{ letter: 'E' }] }],
  ),
  windows(
    'a second internal disk',
    [],
    [windowsSystem, { n: 1, bus: 'SATA', size: 64e9, parts: [{ letter: 'D', kind: 'Fixed' }] }],
  ),
  windows(
    'the system on USB',
    [],
    [{ n: 0, bus: 'USB', boot: true, parts: [{ letter: 'C', kind: 'Fixed' }] }],
  ),
  windows(
    'a page file on a stick',
    [],
    [windowsSystem, { n: 1, bus: 'USB', parts: [{ letter: 'E' }] }],
    ['C:\\pagefile.sys', 'E:\\pagefile.sys'],
  ),
  windows(
    'soldered memory',
    [],
    [windowsSystem, { n: 1, bus: 'MMC', parts: [{ letter: 'D', kind: 'Fixed' }] }],
  ),
  windows(
    'a mounted disk file',
    [],
    [windowsSystem, { n: 1, bus: 'File Backed Virtual', parts: [{ letter: 'E', kind: 'Fixed' }] }],
  ),
  windows(
    'a pool of disks',
    [],
    [windowsSystem, { n: 1, bus: 'Spaces', size: 64e9, parts: [{ letter: 'E', kind: 'Fixed' }] }],
  ),
  windows(
    'a stick mounted in a folder of C',
    [],
    [windowsSystem, { n: 1, bus: 'USB', parts: [{ paths: ['C:\\data\\'] }] }],
  ),
  windows(
    'a USB disk far too large',
    [],
    [windowsSystem, { n: 1, bus: 'USB', size: 4e12, parts: [{ letter: 'E', kind: 'Fixed' }] }],
  ),
];

export const madeUpComputers: readonly MadeUpComputer[] = [
  ...linuxComputers,
  ...macComputers,
  ...windowsComputers,
];

export interface Swap {
  readonly name: string;
  readonly before: DriveTable;
  readonly now: DriveTable;
  /** The path as given, where it led before, where it leads now. */
  readonly given: string;
  readonly ledTo: string;
  readonly leadsTo: string | undefined;
  readonly mayWrite: boolean;
}

const table = (...disks: readonly LinuxDisk[]) => readLsblk(linuxText(laptop, ...disks));
const swap = (
  name: string,
  before: LinuxDisk,
  now: readonly LinuxDisk[],
  mayWrite = false,
  more: Partial<Swap> = {},
): Swap => ({
  name,
  before: table(before),
  now: table(...now),
  given: `/dev/${before.name}`,
  ledTo: `/dev/${before.name}`,
  leadsTo: `/dev/${before.name}`,
  mayWrite,
  ...more,
});
const card = usb('sdb');
const vfat = (more: Partial<LinuxDisk>) => [
  part('sdb1', 'vfat', null, { uuid: '1A2B-3C4D', label: 'CARD', ...more }),
];

/** What happened between the question and the first write. */
export const swaps: readonly Swap[] = [
  swap('nothing', card, [card], true),
  swap('it was unmounted', usb('sdb', { kids: vfat({ at: ['/media/q/CARD'] }) }), [card], true),
  swap(
    'it was unmounted, given by its mount point',
    usb('sdb', { kids: vfat({ at: ['/media/q/CARD'] }) }),
    [card],
    true,
    { given: '/media/q/CARD', ledTo: '/media/q/CARD', leadsTo: '/media/q/CARD' },
  ),
  swap(
    'a bare volume that the system knows only while it is mounted, unmounted',
    usb('sdb', { kids: [], pt: null, at: ['/media/q/CARD'] }),
    [usb('sdb', { kids: [], pt: null })],
    true,
    { given: '/media/q/CARD', ledTo: '/media/q/CARD', leadsTo: '/media/q/CARD' },
  ),
  swap('a bare volume became another one', usb('sdb', { kids: [], pt: null, fs: 'vfat' }), [
    usb('sdb', { kids: [], pt: null, fs: 'exfat' }),
  ]),
  swap(
    'it had no table and nothing is told of it, and was unmounted',
    slot({ kids: [], pt: null, ptid: null, at: ['/mnt/card'] }),
    [slot({ kids: [], pt: null, ptid: null })],
    true,
    { given: '/mnt/card', ledTo: '/mnt/card', leadsTo: '/mnt/card' },
  ),
  swap('another stick was plugged in beside it', card, [card, usb('sdc', { serial: 'READER02' })], true),
  swap('it is gone', card, []),
  swap('the reader is empty', card, [usb('sdb', { size: 0, kids: [] })]),
  swap('another card of the same size', card, [
    usb('sdb', { ptid: '99999999', kids: vfat({ uuid: 'FFFF-0001' }) }),
  ]),
  swap('the same table on another volume', card, [usb('sdb', { kids: vfat({ uuid: 'FFFF-0001' }) })]),
  swap('a larger card', card, [usb('sdb', { size: 32e9 })]),
  swap('another reader under the same name', card, [usb('sdb', { serial: 'READER02' })]),
  swap('it came back under another name, a disk took its own', card, [
    usb('sdb', { size: 1e12, rm: false, serial: 'DISK' }),
    usb('sdc'),
  ]),
  swap('an internal disk took its name', card, [{ name: 'sdb' }]),
  swap('it was write-protected', card, [usb('sdb', { ro: true })]),
  swap('the system mounted a part of it', card, [usb('sdb', { kids: vfat({ at: ['/var/lib/x'] }) })]),
  swap('a container on it was unlocked', usb('sdb', { kids: [part('sdb1', 'crypto_LUKS')] }), [
    usb('sdb', { kids: [part('sdb1', 'crypto_LUKS', null, { kids: [{ name: 'c', type: 'crypt' }] })] }),
  ]),
  swap('one partition more', card, [usb('sdb', { kids: [...vfat({}), part('sdb2', 'vfat')] })]),
  swap('formatted meanwhile', card, [
    usb('sdb', { kids: [part('sdb1', 'exfat', null, { uuid: '1A2B-3C4D' })] }),
  ]),
  swap('another card in the slot', slot(), [slot({ serial: '0x99999999' })]),
  swap('the link leads to another card', card, [card, usb('sdc', { serial: 'READER02' })], false, {
    given: '/dev/disk/by-id/card',
    leadsTo: '/dev/sdc',
  }),
  swap('the link leads to the system disk', card, [card], false, {
    given: '/dev/disk/by-id/card',
    leadsTo: '/dev/nvme0n1',
  }),
  swap('the link leads nowhere', card, [card], false, { given: '/dev/disk/by-id/card', leadsTo: undefined }),
];
