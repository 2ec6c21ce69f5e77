// Reads what Linux' `lsblk -b -J` says into drives. Text in, drives out; runs nothing. What it says of a built-in
// card slot (RM 0, no transport) looks like a disk of the computer's own, so the chain of subsystems decides there.

import type { Drive, DriveBus, DrivePart, DriveTable } from '../../ports/drives.ts';
import { isOwnPath } from './own-path.ts';
import { driveTableUnreadable, flag, list, number, records, text } from './said.ts';

export const lsblkColumns = [
  'NAME',
  'KNAME',
  'PATH',
  'TYPE',
  'SIZE',
  'RO',
  'RM',
  'HOTPLUG',
  'TRAN',
  'SUBSYSTEMS',
  'VENDOR',
  'MODEL',
  'SERIAL',
  'FSTYPE',
  'FSVER',
  'LABEL',
  'UUID',
  'PTTYPE',
  'PTUUID',
  'LOG-SEC',
  'MOUNTPOINTS',
  'MOUNTPOINT',
] as const;

type Row = Readonly<Record<string, unknown>>;

/** The table is a tree a few levels deep; what is deeper is hostile. */
const maxDepth = 16;

function* below(row: Row, depth = 0): Generator<Row> {
  if (depth > maxDepth) throw driveTableUnreadable('lsblk');
  for (const child of records(row.children)) {
    yield child;
    yield* below(child, depth + 1);
  }
}

function mountPointsOf(row: Row): string[] {
  const points = [...list(row.mountpoints), row.mountpoint].flatMap((point) => text(point) ?? []);
  return [...new Set(points)];
}

function busOf(row: Row): DriveBus {
  const subsystems = (text(row.subsystems) ?? '').split(':');
  const transport = text(row.tran);
  const name = text(row.kname) ?? text(row.name) ?? '';
  if (text(row.type) !== 'disk' || /^(loop|zram|ram|nbd|drbd|md|dm-|rbd)/.test(name)) return 'virtual';
  if (subsystems.includes('mmc') || transport === 'mmc') return 'mmc';
  if (transport === 'usb' || subsystems.includes('usb')) return 'usb';
  if (transport === 'nvme' || subsystems.includes('nvme')) return 'nvme';
  if (transport === 'iscsi' || transport === 'fc' || transport === 'fcoe') return 'network';
  if (transport === 'sata' || transport === 'ata' || transport === 'sas') return 'sata';
  return 'other';
}

/** Not parts of a drive, but things that are made of it. */
const layers = /^(crypt|lvm|raid.*|linear|md|mpath|dm|multipath|dmraid|bcache)$/;
/** A drive that says so on itself is one of several, whether or not the rest is here. */
const members = /^(LVM[12]?_member|linux_raid_member|zfs_member|bcache|.*_raid_member|drbd|ceph.*)$/i;

function carriesOf(row: Row): string[] {
  const found: string[] = [];
  const memberOf = (one: Row) => {
    const fileSystem = text(one.fstype);
    if (fileSystem !== null && members.test(fileSystem)) found.push(fileSystem);
  };
  memberOf(row);
  for (const one of below(row)) {
    const type = text(one.type) ?? '';
    if (layers.test(type)) found.push(`${type} ${text(one.name) ?? ''}`.trim());
    memberOf(one);
  }
  return [...new Set(found)];
}

function fileSystemOf(row: Row): string | null {
  const fileSystem = text(row.fstype)?.toLowerCase() ?? null;
  const version = text(row.fsver)?.toLowerCase() ?? '';
  if (fileSystem !== 'vfat') return fileSystem;
  return /^fat(12|16|32)$/.test(version) ? version : 'vfat';
}

function partOf(row: Row): DrivePart {
  return {
    device: text(row.path) ?? `/dev/${text(row.name) ?? ''}`,
    sizeBytes: number(row.size),
    fileSystem: fileSystemOf(row),
    label: text(row.label),
    volumeId: text(row.uuid),
    mountPoints: mountPointsOf(row),
  };
}

function driveOf(row: Row, names: ReadonlySet<string>): Drive {
  const bus = busOf(row);
  const name = text(row.name) ?? '';
  const partitions = records(row.children).filter((child) => text(child.type) === 'part');
  // Even where nothing is known of it: what is mounted and what is not must not look like two cards.
  const isBare = partitions.length === 0 && text(row.pttype) === null;
  const mounted = [row, ...below(row)].flatMap(mountPointsOf);
  const model = [text(row.vendor), text(row.model)].filter((part) => part !== null).join(' ');
  return {
    device: text(row.path) ?? `/dev/${name}`,
    sizeBytes: number(row.size) || null,
    sectorBytes: number(row['log-sec']),
    bus,
    model: model === '' ? null : model,
    serial: text(row.serial),
    readOnly: flag(row.ro) === true,
    removable: flag(row.rm),
    hotplug: flag(row.hotplug),
    // Soldered memory is on the same bus as a card slot; only it has boot areas of its own.
    soldered:
      /^fd\d/.test(name) ||
      (bus === 'mmc' && (names.has(`${name}boot0`) || /(boot\d|rpmb|gp\d)$/.test(name))),
    isSystem: false,
    holdsSystemPath: mounted.some(isOwnPath),
    carries: carriesOf(row),
    partitionTable: text(row.pttype),
    tableId: text(row.ptuuid),
    parts: isBare ? [partOf(row)] : partitions.map(partOf),
  };
}

/** Failure exit 6 where this is not what lsblk prints. */
export function readLsblk(printed: string): DriveTable {
  let said: unknown;
  try {
    said = JSON.parse(printed);
  } catch {
    throw driveTableUnreadable('lsblk');
  }
  const rows = records((said as { blockdevices?: unknown } | null)?.blockdevices);
  if (!Array.isArray((said as { blockdevices?: unknown } | null)?.blockdevices)) {
    throw driveTableUnreadable('lsblk');
  }
  const names = new Set(rows.map((row) => text(row.name) ?? ''));
  // A disc drive is no card; it may hold the system that runs, and then it is told as such by nobody here.
  return { drives: rows.filter((row) => text(row.type) !== 'rom').map((row) => driveOf(row, names)) };
}
