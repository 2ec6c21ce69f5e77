// Reads what macOS' `diskutil list -plist` and `diskutil info -plist` say into drives. Text in, drives out; runs
// nothing. A system on APFS lies on a made-up disk of its own, so what is mounted there is carried back to the disk
// that it is stored on.

import type { Drive, DriveBus, DrivePart, DriveTable } from '../../ports/drives.ts';
import { isOwnPath } from './own-path.ts';
import { readPlist } from './plist.ts';
import { driveTableUnreadable, flag, list, number, records, text } from './said.ts';

type Row = Readonly<Record<string, unknown>>;

const buses: Readonly<Record<string, DriveBus>> = {
  usb: 'usb',
  'secure digital': 'mmc',
  sata: 'sata',
  ata: 'sata',
  sas: 'sata',
  'pci-express': 'nvme',
  nvme: 'nvme',
  'apple fabric': 'nvme',
  thunderbolt: 'other',
  'disk image': 'virtual',
  'virtual interface': 'virtual',
};

const fileSystems: Readonly<Record<string, string>> = {
  dos_fat_12: 'fat12',
  dos_fat_16: 'fat16',
  dos_fat_32: 'fat32',
  windows_fat_16: 'fat16',
  windows_fat_32: 'fat32',
  msdos: 'vfat',
  exfat: 'exfat',
  ntfs: 'ntfs',
  apfs: 'apfs',
  hfs: 'hfs',
  apple_hfs: 'hfs',
  apple_apfs: 'apfs',
};

function dictionary(printed: string): Row {
  try {
    const value = readPlist(printed);
    if (typeof value === 'object' && !Array.isArray(value)) return value as Row;
  } catch (error) {
    throw driveTableUnreadable('diskutil', error);
  }
  throw driveTableUnreadable('diskutil');
}

/** Names of the whole disks that `diskutil info -plist` is to be asked about, and of their parts. */
export function disksIn(listed: string): string[] {
  const all = dictionary(listed);
  return records(all.AllDisksAndPartitions).flatMap((disk) =>
    [disk, ...records(disk.Partitions)].flatMap((one) => {
      const name = text(one.DeviceIdentifier);
      return name !== null && /^disk\d+(s\d+)*$/.test(name) ? [name] : [];
    }),
  );
}

function partOf(row: Row, info: Row): DrivePart {
  const content = text(row.Content) ?? text(info.Content) ?? '';
  const kind = text(info.FilesystemType) ?? '';
  const mountPoint = text(info.MountPoint) ?? text(row.MountPoint);
  return {
    device: `/dev/${text(row.DeviceIdentifier) ?? ''}`,
    sizeBytes: number(row.Size) ?? number(info.Size),
    // What the partition is said to be tells the kinds of FAT apart; what is mounted only says that it is one.
    fileSystem:
      fileSystems[content.toLowerCase()] ?? fileSystems[kind.toLowerCase()] ?? (kind.toLowerCase() || null),
    label: text(info.VolumeName) ?? text(row.VolumeName),
    volumeId: text(info.VolumeUUID) ?? text(row.VolumeUUID),
    mountPoints: mountPoint === null ? [] : [mountPoint],
  };
}

/** The whole disk of `disk0s2`. */
const wholeOf = (name: string) => /^disk\d+/.exec(name)?.[0] ?? name;

/** `infos`: what `info` printed, by name (`disk4`, `disk4s1`). Failure exit 6 where a text is no property list. */
export function readDiskutil(listed: string, infos: ReadonlyMap<string, string>): DriveTable {
  const rows = records(dictionary(listed).AllDisksAndPartitions);
  if (rows.length === 0) throw driveTableUnreadable('diskutil');
  const infoOf = (row: Row): Row => {
    const printed = infos.get(text(row.DeviceIdentifier) ?? '');
    return printed === undefined ? {} : dictionary(printed);
  };
  /** By whole disk: what is mounted of the made-up disks that are stored on it. */
  const storedOn = new Map<string, { mounted: string[]; names: string[] }>();
  for (const row of rows) {
    const mounted = records(row.APFSVolumes).flatMap((volume) => text(volume.MountPoint) ?? []);
    for (const store of records(row.APFSPhysicalStores)) {
      const whole = wholeOf(text(store.DeviceIdentifier) ?? '');
      const known = storedOn.get(whole) ?? { mounted: [], names: [] };
      known.mounted.push(...mounted);
      known.names.push(`APFS ${text(row.DeviceIdentifier) ?? ''}`);
      storedOn.set(whole, known);
    }
  }
  return { drives: rows.map((row) => driveOf(row, infoOf, storedOn)) };
}

function driveOf(
  row: Row,
  infoOf: (row: Row) => Row,
  storedOn: ReadonlyMap<string, { mounted: string[]; names: string[] }>,
): Drive {
  const info = infoOf(row);
  const name = text(row.DeviceIdentifier) ?? '';
  const isMadeUp =
    records(row.APFSPhysicalStores).length > 0 ||
    text(info.VirtualOrPhysical)?.toLowerCase() === 'virtual' ||
    list(row.APFSVolumes).length > 0;
  const protocol = (text(info.BusProtocol) ?? '').toLowerCase();
  const bus = isMadeUp ? 'virtual' : (buses[protocol] ?? 'other');
  const removable =
    flag(info.RemovableMedia) ?? flag(info.RemovableMediaOrExternalDevice) ?? flag(info.Removable);
  const internal = flag(info.Internal);
  const partitions = records(row.Partitions);
  const isBare = partitions.length === 0 && (text(row.MountPoint) ?? text(info.FilesystemType)) !== null;
  const parts = isBare ? [partOf(row, info)] : partitions.map((part) => partOf(part, infoOf(part)));
  const stored = storedOn.get(name);
  const mounted = [...parts.flatMap((part) => part.mountPoints), ...(stored?.mounted ?? [])];
  const volumes = records(row.APFSVolumes).flatMap((volume) => text(volume.MountPoint) ?? []);
  return {
    device: `/dev/${name}`,
    sizeBytes: (number(row.Size) ?? number(info.Size)) || null,
    sectorBytes: number(info.DeviceBlockSize),
    bus,
    model: text(info.MediaName) ?? text(info.IORegistryEntryName),
    serial: null,
    readOnly: flag(info.WritableMedia) === false || flag(info.Writable) === false,
    removable,
    // A card slot of the computer's own is "internal", but what is in it can be taken out.
    hotplug: internal === null ? null : !internal || removable === true,
    soldered: internal === true && removable !== true,
    isSystem: flag(info.SystemImage) === true || flag(info.OSInternalMedia) === true,
    holdsSystemPath: [...mounted, ...volumes].some(isOwnPath),
    carries: stored?.names ?? [],
    partitionTable: tableOf(text(row.Content) ?? text(info.Content)),
    tableId: text(info.DiskUUID),
    parts,
  };
}

function tableOf(content: string | null): string | null {
  if (content === 'FDisk_partition_scheme') return 'dos';
  if (content === 'GUID_partition_scheme') return 'gpt';
  return content === null ? null : content.toLowerCase().endsWith('_scheme') ? content : null;
}
