// The cylinder, head and sector that an MBR entry states beside the block number, with the 255 heads and 63
// sectors that a BIOS assumes for anything above 504 MiB. What lies beyond cylinder 1023 gets the last address
// that the three bytes can say, as every formatter writes it. Readers today use the block number.

export const chsHeads = 255;
export const chsSectorsPerTrack = 63;
const chsCylinders = 1024;

/** The first block that has no address of its own. */
export const chsReachSectors = chsCylinders * chsHeads * chsSectorsPerTrack;

export interface ChsAddress {
  readonly head: number;
  /** Sector in bits 0 to 5, cylinder bits 8 and 9 in bits 6 and 7, the rest of the cylinder above. */
  readonly sectorCylinder: number;
}

export function chsAddress(block: number): ChsAddress {
  const reachable = Math.min(block, chsReachSectors - 1);
  const track = Math.floor(reachable / chsSectorsPerTrack);
  const cylinder = Math.floor(track / chsHeads);
  const sector = (reachable % chsSectorsPerTrack) + 1;
  return {
    head: track % chsHeads,
    sectorCylinder: sector | ((cylinder >> 8) << 6) | ((cylinder & 0xff) << 8),
  };
}
