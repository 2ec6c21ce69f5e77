// The FSInfo sector of FAT32 (Microsoft FAT specification, section 5): hints about free clusters. Decodes and
// encodes; nobody may rely on the counts.

import { decodeFields, encodeFields } from '../../bytes/fields.ts';

export const fsInfoFields = {
  leadSignature: { offset: 0, width: 4 },
  structSignature: { offset: 484, width: 4 },
  freeClusters: { offset: 488, width: 4 },
  nextFree: { offset: 492, width: 4 },
  trailSignature: { offset: 508, width: 4 },
} as const;

export const fsInfoLead = 0x41615252;
export const fsInfoStruct = 0x61417272;
export const fsInfoTrail = 0xaa550000;
/** A count or hint that is not set. */
export const fsInfoUnset = 0xffffffff;

export interface FsInfo {
  readonly leadSignature: number;
  readonly structSignature: number;
  readonly freeClusters: number;
  readonly nextFree: number;
  readonly trailSignature: number;
}

export function decodeFsInfo(sector: Uint8Array): FsInfo {
  return decodeFields(fsInfoFields, sector);
}

export function encodeFsInfo(info: FsInfo, sector: Uint8Array): void {
  encodeFields(fsInfoFields, info, sector);
}

export function fsInfoSigned(info: FsInfo): boolean {
  const { leadSignature, structSignature, trailSignature } = info;
  return leadSignature === fsInfoLead && structSignature === fsInfoStruct && trailSignature === fsInfoTrail;
}
