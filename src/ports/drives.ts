// The drives that this computer sees now, each with what is on it and what it is used for. Facts only: whether a
// drive may be written to is decided elsewhere, from these tables alone. Everything in them that a drive or a card
// says of itself (model, label, serial) is raw: print it through `printable`.

/** How it is connected; `other`: in a way that is not known here. */
export type DriveBus = 'mmc' | 'usb' | 'sata' | 'nvme' | 'raid' | 'network' | 'virtual' | 'other';

export interface DrivePart {
  /** Its own device: `/dev/sdb1`, `/dev/disk4s1`, `\\.\E:`. */
  readonly device: string;
  readonly sizeBytes: number | null;
  /** Lower case: `fat16`, `fat32`, `vfat` (one of them), `exfat`, `ntfs`; null where the system knows none. */
  readonly fileSystem: string | null;
  readonly label: string | null;
  /** As the system prints it; null where it gives none. */
  readonly volumeId: string | null;
  /** Absolute; drive letters as `E:\`. */
  readonly mountPoints: readonly string[];
}

export interface Drive {
  /** The whole drive: `/dev/sdb`, `/dev/disk4`, `\\.\PHYSICALDRIVE2`. */
  readonly device: string;
  /** Null: nobody knows, or nothing is in the reader. */
  readonly sizeBytes: number | null;
  readonly sectorBytes: number | null;
  readonly bus: DriveBus;
  readonly model: string | null;
  /** Of the card where the system can tell (a card in a built-in slot), else of the reader. */
  readonly serial: string | null;
  readonly readOnly: boolean;
  /** Its medium can be taken out, or the whole of it can be unplugged; null: not known. */
  readonly removable: boolean | null;
  readonly hotplug: boolean | null;
  /** The system says of it that it belongs to this computer for good. */
  readonly soldered: boolean;
  /** The system itself calls it a system disk. */
  readonly isSystem: boolean;
  /** A part of it, or something that lies on it, is mounted where the system keeps its own. */
  readonly holdsSystemPath: boolean;
  /** What else is built on it: an unlocked container, a logical volume, an array; in the system's words. */
  readonly carries: readonly string[];
  readonly partitionTable: string | null;
  /** Identifier of the partition table. */
  readonly tableId: string | null;
  /** In the order of the table; one without a number where the file system starts at sector 0. */
  readonly parts: readonly DrivePart[];
}

export interface DriveTable {
  readonly drives: readonly Drive[];
}

export interface Drives {
  /** Asks the system anew each time. Failure exit 6 where it does not answer in words that are known. */
  list(): Promise<DriveTable>;
  /** Where a path leads by now, through every link; undefined where there is nothing. */
  resolve(path: string): string | undefined;
  /** Unmounts every part; Failure exit 6 where one is in use or this user may not. */
  unmount(drive: Drive): Promise<void>;
  /** Mounts a part again, at that place or at one of the system's choice; Failure exit 6 where this user may not. */
  mount(part: DrivePart, mountPoint: string): Promise<void>;
  /** Unmounts every part and lets go of the medium, so that it may be taken out. Failure as `unmount`. */
  eject(drive: Drive): Promise<void>;
}
