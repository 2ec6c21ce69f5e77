// What Linux' kernel says of a block device by its number: size, sectors, write protection, and which insertion this is.
// Other systems are not asked: their devices are not opened by this version.

import { type BigIntStats, readFileSync } from 'node:fs';
import { Failure } from '../../words/failure.ts';

export interface DeviceFacts {
  readonly sizeBytes: number;
  readonly sectorBytes: number;
  readonly readOnly: boolean;
  /** Major and minor number, and how many media the system had seen when this one came. */
  readonly device: string;
}

export function notThisSystem(path: string): Failure {
  return new Failure({
    code: 'devices-not-opened',
    exit: 2,
    summary: 'This version opens devices on Linux only.',
    where: path,
    next: 'Do this on a Linux computer; card image files (*.img) work here.',
  });
}

function said(folder: string, name: string): string | undefined {
  try {
    return readFileSync(`${folder}/${name}`, 'latin1').trim();
  } catch {
    return undefined;
  }
}

/** `stat`: of a block device. Failure exit 2 for a partition, exit 6 where nothing is in the reader. */
export function deviceFacts({ rdev }: Pick<BigIntStats, 'rdev'>, path: string): DeviceFacts {
  if (process.platform !== 'linux') throw notThisSystem(path);
  // As the C library splits it (makedev).
  const major = ((rdev >> 8n) & 0xfffn) | ((rdev >> 32n) & ~0xfffn);
  const minor = (rdev & 0xffn) | ((rdev >> 12n) & ~0xffn);
  const folder = `/sys/dev/block/${major}:${minor}`;
  if (said(folder, 'partition') !== undefined) {
    throw new Failure({
      code: 'part-of-card',
      exit: 2,
      summary: 'This is a part of a card, not the card.',
      where: path,
      next: 'Name the whole card, as "slotproof cards" shows it.',
    });
  }
  const sizeBytes = Number(said(folder, 'size') ?? 0) * 512;
  if (!Number.isSafeInteger(sizeBytes) || sizeBytes <= 0) {
    throw new Failure({
      code: 'card-gone',
      exit: 6,
      summary: 'There is no card in this reader.',
      where: path,
      next: 'Put the card in, then run the same command again.',
    });
  }
  return {
    sizeBytes,
    sectorBytes: Number(said(folder, 'queue/logical_block_size') ?? 512),
    readOnly: said(folder, 'ro') === '1',
    device: `${major}:${minor} ${said(folder, 'diskseq') ?? ''}`.trim(),
  };
}
