// Cylinder, head and sector, worked out by hand at both sides of every limit.

import { expect, it } from 'vitest';
import { chsAddress, chsReachSectors } from '../../../../src/card/table/chs-address.ts';

it.each([
  // block, head, sector in the low six bits, cylinder
  [0, 0, 1, 0],
  [62, 0, 63, 0],
  [63, 1, 1, 0],
  [255 * 63 - 1, 254, 63, 0],
  [255 * 63, 0, 1, 1],
  [8192, 130, 3, 0],
  [255 * 255 * 63 + 254 * 63, 254, 1, 255],
  [256 * 255 * 63, 0, 1, 256],
  [1024 * 255 * 63 - 1, 254, 63, 1023],
  [1024 * 255 * 63, 254, 63, 1023],
  [0xffff_ffff, 254, 63, 1023],
])('block %d: head %d, sector %d, cylinder %d', (block, head, sector, cylinder) => {
  const address = chsAddress(block);
  expect(address.head).toBe(head);
  expect(address.sectorCylinder & 0x3f).toBe(sector);
  expect(((address.sectorCylinder & 0xc0) << 2) | (address.sectorCylinder >> 8)).toBe(cylinder);
});

it('reaches to 1024 cylinders of 255 heads and 63 sectors', () => {
  expect(chsReachSectors).toBe(16_450_560);
});
