// May this drive be taken for a card at all? Decided from the table alone, the strictest reason first. Whatever is not
// known for sure counts against it: a card that is refused is put into another reader, a disk that is written is lost.

import type { Drive } from '../../ports/drives.ts';

export type UnfitReason =
  | 'system-disk'
  | 'system-path'
  | 'in-use-by-tool'
  | 'part-of-more'
  | 'virtual'
  | 'internal'
  | 'empty'
  | 'far-too-large'
  | 'read-only';

export interface Fitness {
  readonly usable: boolean;
  readonly reason: UnfitReason | null;
  /** One sentence for people, whether it is usable or not. */
  readonly why: string;
}

export interface FitnessLimits {
  /** The rule's largest card. undefined: no release was asked for. */
  readonly maxBytes?: number | undefined;
  /** Absolute, links followed: what the tool itself works with now must not lie on the card. */
  readonly ownPaths?: readonly string[];
}

/** Where no rule says better: memory cards are not larger than this, but disks are. */
const largestCardBytes = 2e12;
/** A card twice too large for the rule is a wrong card; one far beyond that is no card but somebody's disk. */
const farFactor = 4;
const leastFarBytes = 64e9;

const sentences: Readonly<Record<UnfitReason, string>> = {
  'system-disk': 'this computer runs from it',
  'system-path': 'a part of this computer is mounted from it',
  'in-use-by-tool': 'what the tool works with lies on it',
  'part-of-more': 'it is a part of something larger',
  virtual: 'it is no card but made up by the computer',
  internal: 'it belongs to this computer',
  empty: 'there is no card in it',
  'far-too-large': 'it is far too large for a card of this unit',
  'read-only': 'it is write-protected, so it can only be looked at',
};

/** The mount point of the table that a path lies under; the deepest one counts. */
export function mountPointOf(path: string, mountPoints: readonly string[]): string | undefined {
  const slashed = (text: string) => {
    const plain = /^[A-Z]:/i.test(text) ? text.replaceAll('\\', '/').toUpperCase() : text;
    return plain.endsWith('/') ? plain : `${plain}/`;
  };
  return mountPoints
    .filter((point) => slashed(path).startsWith(slashed(point)))
    .sort((a, b) => b.length - a.length)[0];
}

export const mountPointsOf = (drive: Drive) => drive.parts.flatMap((part) => part.mountPoints);

/** In a slot or on a cable: what a person may have plugged in. */
function isPlugged(drive: Drive): boolean {
  if (drive.soldered) return false;
  if (drive.bus === 'mmc' || drive.bus === 'usb') return drive.hotplug !== false || drive.removable === true;
  // Some built-in readers hang on a bus of their own; then the medium at least must be one that comes out.
  return drive.bus === 'other' && drive.removable === true && drive.hotplug === true;
}

function reasonOf(drive: Drive, limits: FitnessLimits): UnfitReason | null {
  if (drive.bus === 'virtual') return 'virtual';
  if (drive.isSystem) return 'system-disk';
  if (drive.holdsSystemPath) return 'system-path';
  const own = mountPointsOf(drive);
  if ((limits.ownPaths ?? []).some((path) => mountPointOf(path, own) !== undefined)) return 'in-use-by-tool';
  if (drive.carries.length > 0) return 'part-of-more';
  if (!isPlugged(drive)) return 'internal';
  if (drive.sizeBytes === null) return 'empty';
  const far =
    limits.maxBytes === undefined
      ? largestCardBytes
      : Math.min(largestCardBytes, Math.max(limits.maxBytes * farFactor, leastFarBytes));
  if (drive.sizeBytes > far) return 'far-too-large';
  return drive.readOnly ? 'read-only' : null;
}

export function driveFitness(drive: Drive, limits: FitnessLimits = {}): Fitness {
  const reason = reasonOf(drive, limits);
  if (reason === null) return { usable: true, reason, why: 'it can be taken out, and nothing else uses it' };
  const more = reason === 'part-of-more' ? ` (${drive.carries.join(', ')})` : '';
  return { usable: false, reason, why: `${sentences[reason]}${more}` };
}

/** Worth showing to somebody who looks for a card; disks of the computer itself are not. */
export function isCardLike(drive: Drive): boolean {
  return drive.bus !== 'virtual' && isPlugged(drive);
}
