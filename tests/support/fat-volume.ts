// The FAT volume of a card that a test has made as one.

import type { ExaminedCard, FatVolume } from '../../src/card/look/examined-card.ts';

export function fatVolume({ volume, findings }: ExaminedCard): FatVolume {
  if (volume?.kind !== 'fat') throw new Error(`no FAT volume: ${JSON.stringify(findings)}`);
  return volume;
}
