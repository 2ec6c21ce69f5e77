// The boot sector of a FAT volume (Microsoft FAT specification, section 3): common fields, then one of two
// layouts. Decodes and encodes; what the numbers amount to is worked out in `fat-geometry.ts`.

import { decodeFields, encodeFields } from '../../bytes/fields.ts';
import { decodeText, encodeText } from '../../bytes/text-field.ts';

export const bootCommonFields = {
  jump0: { offset: 0, width: 1 },
  jump1: { offset: 1, width: 1 },
  jump2: { offset: 2, width: 1 },
  bytesPerSector: { offset: 11, width: 2 },
  sectorsPerCluster: { offset: 13, width: 1 },
  reservedSectors: { offset: 14, width: 2 },
  fatCount: { offset: 16, width: 1 },
  rootEntryCount: { offset: 17, width: 2 },
  totalSectors16: { offset: 19, width: 2 },
  media: { offset: 21, width: 1 },
  sectorsPerFat16: { offset: 22, width: 2 },
  sectorsPerTrack: { offset: 24, width: 2 },
  heads: { offset: 26, width: 2 },
  hiddenSectors: { offset: 28, width: 4 },
  totalSectors32: { offset: 32, width: 4 },
  signature: { offset: 510, width: 2 },
} as const;

/** FAT12 and FAT16, from byte 36 on. */
export const boot16Fields = {
  driveNumber: { offset: 36, width: 1 },
  state: { offset: 37, width: 1 },
  extendedSignature: { offset: 38, width: 1 },
  volumeId: { offset: 39, width: 4 },
} as const;

/** FAT32, from byte 36 on. */
export const boot32Fields = {
  sectorsPerFat32: { offset: 36, width: 4 },
  extendedFlags: { offset: 40, width: 2 },
  version: { offset: 42, width: 2 },
  rootCluster: { offset: 44, width: 4 },
  fsInfoSector: { offset: 48, width: 2 },
  backupBootSector: { offset: 50, width: 2 },
  driveNumber: { offset: 64, width: 1 },
  state: { offset: 65, width: 1 },
  extendedSignature: { offset: 66, width: 1 },
  volumeId: { offset: 67, width: 4 },
} as const;

const oemNameField = { offset: 3, length: 8 } as const;
const label16Field = { offset: 43, length: 11 } as const;
const type16Field = { offset: 54, length: 8 } as const;
const label32Field = { offset: 71, length: 11 } as const;
const type32Field = { offset: 82, length: 8 } as const;

export const bootSectorBytes = 512;
export const bootSignature = 0xaa55;
/** The second dirty bit and the second error bit, in the `state` byte. */
export const stateDirty = 0x01;
export const stateError = 0x02;
/** Extended signatures that say: state, volume id (and for 0x29 label and type text) are there. */
export const extendedSignatures: readonly number[] = [0x28, 0x29];
/** `extendedFlags`: mirroring is off, and only the copy of this number is kept up to date. */
export const flagNoMirror = 0x80;
export const flagActiveFat = 0x0f;

export interface BootSector {
  /** Which layout the bytes from 36 on have: FAT32's where the 16-bit FAT length is 0. */
  readonly layout: 'fat16' | 'fat32';
  readonly jump0: number;
  readonly jump1: number;
  readonly jump2: number;
  readonly oemName: string;
  readonly bytesPerSector: number;
  readonly sectorsPerCluster: number;
  readonly reservedSectors: number;
  readonly fatCount: number;
  readonly rootEntryCount: number;
  readonly totalSectors16: number;
  readonly media: number;
  readonly sectorsPerFat16: number;
  readonly sectorsPerTrack: number;
  readonly heads: number;
  readonly hiddenSectors: number;
  readonly totalSectors32: number;
  /** From here on 0 where the layout is `fat16`, up to `backupBootSector`. */
  readonly sectorsPerFat32: number;
  readonly extendedFlags: number;
  readonly version: number;
  readonly rootCluster: number;
  readonly fsInfoSector: number;
  readonly backupBootSector: number;
  readonly driveNumber: number;
  readonly state: number;
  readonly extendedSignature: number;
  readonly volumeId: number;
  /** 11 characters, padded with blanks. */
  readonly label: string;
  /** 8 characters, padded with blanks; informative only. */
  readonly typeText: string;
  readonly signature: number;
}

export function decodeBootSector(bytes: Uint8Array): BootSector {
  const common = decodeFields(bootCommonFields, bytes);
  const oemName = decodeText(bytes, oemNameField);
  if (common.sectorsPerFat16 === 0) {
    const label = decodeText(bytes, label32Field);
    const typeText = decodeText(bytes, type32Field);
    return { layout: 'fat32', ...common, oemName, ...decodeFields(boot32Fields, bytes), label, typeText };
  }
  return {
    layout: 'fat16',
    ...common,
    oemName,
    sectorsPerFat32: 0,
    extendedFlags: 0,
    version: 0,
    rootCluster: 0,
    fsInfoSector: 0,
    backupBootSector: 0,
    ...decodeFields(boot16Fields, bytes),
    label: decodeText(bytes, label16Field),
    typeText: decodeText(bytes, type16Field),
  };
}

/** Writes every field; boot code and reserved bytes stay as they are. */
export function encodeBootSector(boot: BootSector, bytes: Uint8Array): void {
  const fat32 = boot.layout === 'fat32';
  encodeFields(bootCommonFields, boot, bytes);
  encodeText(bytes, oemNameField, boot.oemName);
  if (fat32) encodeFields(boot32Fields, boot, bytes);
  else encodeFields(boot16Fields, boot, bytes);
  encodeText(bytes, fat32 ? label32Field : label16Field, boot.label);
  encodeText(bytes, fat32 ? type32Field : type16Field, boot.typeText);
}

/** Where the second dirty bit lies: byte 0x25, or 0x41 on FAT32. */
export function stateOffset(boot: BootSector): number {
  return boot.layout === 'fat32' ? boot32Fields.state.offset : boot16Fields.state.offset;
}

/** The informative type text of either layout: a boot sector meant for FAT, even where its numbers are damaged. */
export function saysFat(bytes: Uint8Array): boolean {
  return [type16Field, type32Field].some((field) =>
    /^FAT(?:12|16|32)? {3,5}$/.test(decodeText(bytes, field)),
  );
}
