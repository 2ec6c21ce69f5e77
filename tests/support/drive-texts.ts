// Made-up outputs of lsblk, diskutil and PowerShell in their public format, from a few words a drive, so that a test can
// stand a laptop, a dock or a server up in a line. Nothing here was recorded on anybody's computer.

export interface LinuxDisk {
  readonly name: string;
  readonly size?: number | null;
  readonly type?: string;
  readonly tran?: string | null;
  readonly sub?: string;
  readonly rm?: boolean;
  readonly hotplug?: boolean;
  readonly ro?: boolean;
  readonly model?: string;
  readonly serial?: string | null;
  readonly fs?: string | null;
  readonly uuid?: string | null;
  readonly label?: string | null;
  readonly pt?: string | null;
  readonly ptid?: string | null;
  readonly at?: readonly (string | null)[];
  readonly kids?: readonly LinuxDisk[];
}

const GB = 1e9;

const defaults: Readonly<Record<string, Partial<LinuxDisk>>> = {
  nvme: { tran: 'nvme', sub: 'block:nvme:pci', size: 512 * GB, model: 'Drive N5' },
  sd: { tran: 'sata', sub: 'block:scsi:pci', size: 500 * GB, model: 'Disk S2' },
  mmcblk: { tran: null, sub: 'block:mmc:mmc_host:pci', hotplug: true, size: 16 * GB, serial: '0x1a2b3c4d' },
  vd: { tran: 'virtio', sub: 'block:virtio:pci', size: 40 * GB },
  loop: { type: 'loop', sub: 'block', size: 64e6 },
};

function linuxRow(disk: LinuxDisk): Record<string, unknown> {
  const prefix = Object.keys(defaults).find((start) => disk.name.startsWith(start)) ?? '';
  const full = { ...(disk.type === undefined || disk.type === 'disk' ? defaults[prefix] : {}), ...disk };
  return {
    name: full.name,
    kname: full.name,
    path: full.type === 'crypt' || full.type === 'lvm' ? `/dev/mapper/${full.name}` : `/dev/${full.name}`,
    type: full.type ?? (prefix === 'loop' ? 'loop' : 'disk'),
    size: full.size === undefined ? 16 * GB : full.size,
    ro: full.ro ?? false,
    rm: full.rm ?? false,
    hotplug: full.hotplug ?? false,
    tran: full.tran ?? null,
    subsystems: full.sub ?? 'block',
    vendor: null,
    model: full.model ?? null,
    serial: full.serial ?? null,
    fstype: full.fs ?? null,
    fsver: null,
    label: full.label ?? null,
    uuid: full.uuid ?? null,
    pttype: full.pt ?? null,
    ptuuid: full.ptid ?? null,
    'log-sec': 512,
    mountpoints: full.at ?? [null],
    ...(full.kids === undefined ? {} : { children: full.kids.map(linuxRow) }),
  };
}

export const linuxText = (...disks: readonly LinuxDisk[]) =>
  JSON.stringify({ blockdevices: disks.map(linuxRow) });

/** A partition within a disk. */
export const part = (
  name: string,
  fs: string | null,
  at?: string | null,
  more: Partial<LinuxDisk> = {},
): LinuxDisk => ({
  name,
  type: 'part',
  fs,
  at: [at ?? null],
  ...more,
});

/** A stick or a card in a USB reader. */
export const usb = (name: string, more: Partial<LinuxDisk> = {}): LinuxDisk => ({
  name,
  tran: 'usb',
  sub: 'block:scsi:usb:pci',
  rm: true,
  hotplug: true,
  size: 16 * GB,
  model: 'Reader R1',
  serial: 'READER01',
  pt: 'dos',
  ptid: '5f2c11aa',
  kids: [part(`${name}1`, 'vfat', null, { uuid: '1A2B-3C4D', label: 'CARD' })],
  ...more,
});

type Plist = string | number | boolean | readonly Plist[] | { readonly [key: string]: Plist };

function plistOf(value: Plist): string {
  if (typeof value === 'string')
    return `<string>${value.replaceAll('&', '&amp;').replaceAll('<', '&lt;')}</string>`;
  if (typeof value === 'number') return `<integer>${value}</integer>`;
  if (typeof value === 'boolean') return value ? '<true/>' : '<false/>';
  if (Array.isArray(value))
    return value.length === 0 ? '<array/>' : `<array>${value.map(plistOf).join('\n')}</array>`;
  const rows = Object.entries(value).map(([key, one]) => `<key>${key}</key>\n${plistOf(one)}`);
  return rows.length === 0 ? '<dict/>' : `<dict>\n${rows.join('\n')}\n</dict>`;
}

export const plistText = (value: Plist) =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">\n<plist version="1.0">\n${plistOf(value)}\n</plist>\n`;

export interface MacDisk {
  readonly name: string;
  readonly size?: number;
  readonly content?: string;
  readonly parts?: readonly {
    readonly content: string;
    readonly at?: string;
    readonly label?: string;
    readonly uuid?: string;
  }[];
  readonly stores?: readonly string[];
  readonly volumesAt?: readonly string[];
  readonly info: { readonly [key: string]: Plist };
}

export interface MacTexts {
  readonly listed: string;
  readonly infos: ReadonlyMap<string, string>;
}

export function macTexts(...disks: readonly MacDisk[]): MacTexts {
  const rows: Plist[] = disks.map((disk) => ({
    Content: disk.content ?? 'FDisk_partition_scheme',
    DeviceIdentifier: disk.name,
    Size: disk.size ?? 16 * GB,
    ...(disk.stores && { APFSPhysicalStores: disk.stores.map((store) => ({ DeviceIdentifier: store })) }),
    ...(disk.volumesAt && {
      APFSVolumes: disk.volumesAt.map((at, i) => ({
        DeviceIdentifier: `${disk.name}s${i + 1}`,
        MountPoint: at,
      })),
    }),
    Partitions: (disk.parts ?? []).map((one, i) => ({
      Content: one.content,
      DeviceIdentifier: `${disk.name}s${i + 1}`,
      Size: 16 * GB - 4_194_304,
      ...(one.at === undefined ? {} : { MountPoint: one.at }),
      ...(one.label === undefined ? {} : { VolumeName: one.label }),
      ...(one.uuid === undefined ? {} : { VolumeUUID: one.uuid }),
    })),
  }));
  return {
    listed: plistText({ AllDisks: disks.map(({ name }) => name), AllDisksAndPartitions: rows }),
    infos: new Map(disks.map((disk) => [disk.name, plistText(disk.info)])),
  };
}

/** What `diskutil info` says of a Mac's own drive, of a card in its slot, of a stick. */
export const macInfo = {
  own: {
    BusProtocol: 'Apple Fabric',
    Internal: true,
    RemovableMedia: false,
    WritableMedia: true,
    DeviceBlockSize: 4096,
  },
  slot: {
    BusProtocol: 'Secure Digital',
    Internal: true,
    RemovableMedia: true,
    Ejectable: true,
    WritableMedia: true,
    DeviceBlockSize: 512,
    MediaName: 'Built In SDXC Reader',
  },
  usb: {
    BusProtocol: 'USB',
    Internal: false,
    RemovableMedia: true,
    WritableMedia: true,
    DeviceBlockSize: 512,
    MediaName: 'Reader R1',
  },
} as const;

export interface WindowsDisk {
  readonly n: number;
  readonly bus: string | number;
  readonly size?: number | null;
  readonly boot?: boolean;
  readonly ro?: boolean;
  readonly name?: string;
  readonly id?: number | string | null;
  readonly parts?: readonly {
    readonly letter?: string;
    readonly fs?: string;
    readonly label?: string;
    readonly kind?: string | number;
    readonly serial?: string;
    readonly type?: string;
    readonly paths?: readonly string[];
    readonly boot?: boolean;
  }[];
}

export function windowsText(
  disks: readonly WindowsDisk[],
  pageFiles: readonly string[] = ['C:\\pagefile.sys'],
): string {
  const partitions = disks.flatMap((disk) =>
    (disk.parts ?? []).map((one, i) => ({
      DiskNumber: disk.n,
      PartitionNumber: i + 1,
      DriveLetter: one.letter ?? '\0',
      Offset: 1_048_576 * (i + 1),
      Size: 15 * GB,
      Type: one.type ?? 'FAT32',
      IsBoot: one.boot ?? false,
      IsSystem: false,
      AccessPaths:
        one.paths ??
        (one.letter === undefined ? [] : [`${one.letter}:\\`, `\\\\?\\Volume{${disk.n}-${i}}\\`]),
    })),
  );
  const lettered = disks.flatMap((disk) => (disk.parts ?? []).filter((one) => one.letter !== undefined));
  return JSON.stringify({
    system: 'C:',
    pageFiles,
    disks: disks.map((disk) => ({
      Number: disk.n,
      FriendlyName: disk.name ?? 'Disk',
      SerialNumber: `SN${disk.n}`,
      Size: disk.size === undefined ? 16 * GB : disk.size,
      LogicalSectorSize: 512,
      BusType: disk.bus,
      PartitionStyle: 'MBR',
      Signature: disk.id ?? 77,
      Guid: null,
      IsBoot: disk.boot ?? false,
      IsSystem: disk.boot ?? false,
      IsReadOnly: disk.ro ?? false,
      IsOffline: false,
    })),
    partitions,
    volumes: lettered.map((one) => ({
      DriveLetter: one.letter,
      Path: '',
      FileSystem: one.fs ?? 'FAT32',
      FileSystemLabel: one.label ?? '',
      DriveType: one.kind ?? 'Removable',
      Size: 15 * GB,
    })),
    logical: lettered.map((one) => ({
      DeviceID: `${one.letter}:`,
      VolumeSerialNumber: one.serial ?? '1A2B3C4D',
      DriveType: 2,
    })),
  });
}
