// What kind of file system begins at an offset, by its own marks. FAT is recognised by a plausible boot sector;
// whether it is sound is another question. Looks at the first two KiB alone and changes nothing.

import { decodeNumber } from '../../bytes/fields.ts';
import { decodeText } from '../../bytes/text-field.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import { decodeExfatBoot, type ExfatBoot, saysExfat } from '../exfat/exfat-boot.ts';
import { type BootSector, bootSignature, decodeBootSector, saysFat } from '../fat/boot-sector.ts';
import { hasJump, isPlausibleBootSector } from '../fat/fat-geometry.ts';
import { readUpTo } from './clamped-read.ts';
import type { FileSystemName } from './examined-card.ts';

/** `damaged-fat`: meant as a FAT boot sector, but its numbers cannot be. */
export type Recognised =
  | { readonly kind: 'fat' | 'damaged-fat'; readonly boot: BootSector; readonly bytes: Uint8Array }
  | { readonly kind: 'exfat'; readonly boot: ExfatBoot; readonly bytes: Uint8Array }
  | { readonly kind: 'other'; readonly name: FileSystemName }
  | { readonly kind: 'unknown'; readonly blank: boolean };

const oemName = { offset: 3, length: 8 } as const;
/** ext's superblock lies 1024 bytes in (Linux kernel documentation, ext4 super block). */
const ext = {
  magic: { offset: 1024 + 0x38, width: 2 },
  blockSizeShift: { offset: 1024 + 0x18, width: 4 },
  compatible: { offset: 1024 + 0x5c, width: 4 },
  incompatible: { offset: 1024 + 0x60, width: 4 },
} as const;
const extMagic = 0xef53;
const extHasJournal = 0x0004;
/** Features that came with ext4: extents, 64 bit, flexible groups. */
const ext4Features = 0x0040 | 0x0080 | 0x0200;

export function recogniseFileSystem(blocks: BlockReader, offsetBytes: number): Recognised {
  const bytes = readUpTo(blocks, offsetBytes, 2048);
  if (bytes.length < 512) return { kind: 'unknown', blank: bytes.every((byte) => byte === 0) };
  const jump = bytes[0] === 0xeb || bytes[0] === 0xe9;
  const oem = decodeText(bytes, oemName);
  if (jump && saysExfat(bytes))
    return { kind: 'exfat', boot: decodeExfatBoot(bytes), bytes: bytes.slice(0, 512) };
  if (jump && oem === 'NTFS    ') return { kind: 'other', name: 'ntfs' };
  const boot = decodeBootSector(bytes);
  if (isPlausibleBootSector(boot)) return { kind: 'fat', boot, bytes: bytes.slice(0, 512) };
  // Before "damaged FAT": a card that was FAT once may still carry its boot sector's text before an ext volume.
  const extName = extNameOf(bytes);
  if (extName) return { kind: 'other', name: extName };
  // A jump and a signature with nothing that fits between them: damaged as well.
  if (saysFat(bytes) || (hasJump(boot) && boot.signature === bootSignature))
    return { kind: 'damaged-fat', boot, bytes: bytes.slice(0, 512) };
  return { kind: 'unknown', blank: bytes.every((byte) => byte === 0) };
}

function extNameOf(bytes: Uint8Array): FileSystemName | undefined {
  const read = (field: { offset: number; width: 2 | 4 }): number =>
    decodeNumber(bytes, field.offset, field.width);
  if (bytes.length < 2048 || read(ext.magic) !== extMagic || read(ext.blockSizeShift) > 6) return undefined;
  if ((read(ext.incompatible) & ext4Features) !== 0) return 'ext4';
  return (read(ext.compatible) & extHasJournal) !== 0 ? 'ext3' : 'ext2';
}
