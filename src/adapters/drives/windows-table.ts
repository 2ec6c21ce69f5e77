// Reads what Windows PowerShell says of disks, partitions and volumes (as one JSON object) into drives. Text in, drives
// out; runs nothing. Which bus and which kind comes as a number or as a word, by the age of the system.

import type { Drive, DriveBus, DrivePart, DriveTable } from '../../ports/drives.ts';
import { driveTableUnreadable, flag, number, records, text } from './said.ts';

type Row = Readonly<Record<string, unknown>>;

/** What is run: it reads, and changes nothing. */
export const windowsScript = [
  "$ErrorActionPreference='Stop'",
  '[Console]::OutputEncoding=[Text.Encoding]::UTF8',
  '$d=@(Get-Disk | Select-Object Number,FriendlyName,SerialNumber,Size,LogicalSectorSize,BusType,PartitionStyle,Signature,Guid,IsBoot,IsSystem,IsReadOnly,IsOffline)',
  '$p=@(Get-Partition -ErrorAction SilentlyContinue | Select-Object DiskNumber,PartitionNumber,DriveLetter,Offset,Size,Type,IsBoot,IsSystem,AccessPaths)',
  '$v=@(Get-Volume -ErrorAction SilentlyContinue | Select-Object DriveLetter,Path,FileSystem,FileSystemLabel,DriveType,Size)',
  '$l=@(Get-CimInstance Win32_LogicalDisk | Select-Object DeviceID,VolumeSerialNumber,DriveType)',
  '$g=@(Get-CimInstance Win32_PageFileUsage -ErrorAction SilentlyContinue | ForEach-Object { $_.Name })',
  '@{system=$env:SystemDrive;disks=$d;partitions=$p;volumes=$v;logical=$l;pageFiles=$g} | ConvertTo-Json -Depth 4 -Compress',
].join(';');

const busNumbers: Readonly<Record<string, DriveBus>> = {
  3: 'sata',
  6: 'network',
  7: 'usb',
  8: 'raid',
  9: 'network',
  10: 'sata',
  11: 'sata',
  12: 'mmc',
  13: 'mmc',
  14: 'virtual',
  15: 'virtual',
  16: 'raid',
  17: 'nvme',
};
const busNames: Readonly<Record<string, DriveBus>> = {
  ata: 'sata',
  'fibre channel': 'network',
  usb: 'usb',
  raid: 'raid',
  iscsi: 'network',
  sas: 'sata',
  sata: 'sata',
  sd: 'mmc',
  mmc: 'mmc',
  virtual: 'virtual',
  'file backed virtual': 'virtual',
  'storage spaces': 'raid',
  spaces: 'raid',
  nvme: 'nvme',
};

function busOf(value: unknown): DriveBus {
  const said = text(value)?.toLowerCase() ?? '';
  return busNumbers[said] ?? busNames[said] ?? 'other';
}

/** `E` of `E`, `E:`, `E:\`; null where there is none. */
function letterOf(value: unknown): string | null {
  const said = typeof value === 'number' ? String.fromCharCode(value) : text(value);
  return /^([A-Z])(:\\?)?$/i.exec(said ?? '')?.[1]?.toUpperCase() ?? null;
}

const fileSystems: Readonly<Record<string, string>> = {
  fat: 'fat16',
  fat32: 'fat32',
  exfat: 'exfat',
  ntfs: 'ntfs',
};

interface Said {
  readonly volumes: readonly Row[];
  readonly logical: readonly Row[];
  readonly ownLetters: ReadonlySet<string>;
}

function accessPaths(row: Row): string[] {
  const said = row.AccessPaths;
  return (Array.isArray(said) ? said.slice(0, 64) : [said]).flatMap((path) => text(path) ?? []);
}

function partOf(row: Row, said: Said): DrivePart {
  const letter = letterOf(row.DriveLetter);
  const paths = accessPaths(row);
  const volume = said.volumes.find((one) => {
    const path = text(one.Path);
    return (
      (path !== null && paths.includes(path)) || (letter !== null && letterOf(one.DriveLetter) === letter)
    );
  });
  const logical = said.logical.find((one) => letter !== null && letterOf(one.DeviceID) === letter);
  const fileSystem = text(volume?.FileSystem)?.toLowerCase() ?? null;
  const folders = paths.filter((path) => /^[A-Z]:\\./i.test(path));
  return {
    device: letter === null ? (paths.find((path) => path.startsWith('\\\\?\\')) ?? '') : `\\\\.\\${letter}:`,
    sizeBytes: number(row.Size),
    fileSystem: fileSystem === null ? null : (fileSystems[fileSystem] ?? fileSystem),
    label: text(volume?.FileSystemLabel),
    volumeId: text(logical?.VolumeSerialNumber),
    mountPoints: [...(letter === null ? [] : [`${letter}:\\`]), ...folders],
  };
}

function driveOf(disk: Row, partitions: readonly Row[], said: Said): Drive {
  const bus = busOf(disk.BusType);
  const style = text(disk.PartitionStyle)?.toLowerCase();
  const rows = partitions.filter((row) => number(row.DiskNumber) === number(disk.Number));
  const parts = rows.map((row) => partOf(row, said));
  const letters = parts.flatMap((part) => part.mountPoints.map((path) => path.slice(0, 1).toUpperCase()));
  const holdsSystemPath =
    letters.some((letter) => said.ownLetters.has(letter)) ||
    // A folder of another drive: somebody made it a lasting part of this computer.
    parts.some((part) => part.mountPoints.some((path) => path.length > 3)) ||
    rows.some((row) => flag(row.IsBoot) === true || flag(row.IsSystem) === true);
  const types = said.volumes.filter((one) => {
    const letter = letterOf(one.DriveLetter);
    return letter !== null && letters.includes(letter);
  });
  const isRemovable = types.some((one) =>
    ['2', 'removable'].includes(text(one.DriveType)?.toLowerCase() ?? ''),
  );
  const isOnCardBus = bus === 'usb' || bus === 'mmc';
  return {
    device: `\\\\.\\PHYSICALDRIVE${number(disk.Number) ?? ''}`,
    sizeBytes: number(disk.Size) || null,
    sectorBytes: number(disk.LogicalSectorSize),
    bus,
    model: text(disk.FriendlyName),
    serial: text(disk.SerialNumber),
    readOnly: flag(disk.IsReadOnly) === true,
    removable: isRemovable ? true : types.length > 0 ? false : null,
    hotplug: isOnCardBus ? true : bus === 'other' ? null : false,
    // Soldered memory is on the card bus, too; Windows calls its volumes fixed.
    soldered: bus === 'mmc' && types.length > 0 && !isRemovable,
    isSystem: flag(disk.IsBoot) === true || flag(disk.IsSystem) === true,
    holdsSystemPath,
    carries: rows.flatMap((row) =>
      /storage pool|LDM/i.test(text(row.Type) ?? '') ? [text(row.Type) ?? ''] : [],
    ),
    partitionTable:
      style === '1' || style === 'mbr' ? 'dos' : style === '2' || style === 'gpt' ? 'gpt' : null,
    tableId: text(disk.Guid) ?? text(disk.Signature),
    parts,
  };
}

/** Failure exit 6 where this is not what the script prints. */
export function readWindowsDisks(printed: string): DriveTable {
  let said: Row;
  try {
    said = JSON.parse(printed.replace(/^\uFEFF/, '')) as Row;
  } catch (error) {
    throw driveTableUnreadable('PowerShell', error);
  }
  const disks = records(said?.disks);
  if (disks.length === 0) throw driveTableUnreadable('PowerShell');
  const own = [said.system, ...(Array.isArray(said.pageFiles) ? said.pageFiles : [said.pageFiles])];
  const ownLetters = new Set(own.flatMap((one) => (text(one) ?? '').slice(0, 1).toUpperCase() || []));
  const partitions = records(said.partitions);
  const facts = { volumes: records(said.volumes), logical: records(said.logical), ownLetters };
  return { drives: disks.map((disk) => driveOf(disk, partitions, facts)) };
}
