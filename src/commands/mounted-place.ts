// Which mounted file system stands for a card, for people who may not open the card itself, and when its files are gone by
// at all. Opens nothing.

import { driveFitness, isCardLike, mountPointsOf } from '../card/drives/drive-fitness.ts';
import type { Drive, DrivePart } from '../ports/drives.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';

export interface MountedPlace {
  readonly drive: Drive;
  readonly part: DrivePart;
  readonly mountPoint: string;
}

const sameFolder = (a: string, b: string) => a === b || a.toUpperCase() === `${b.toUpperCase()}\\`;

/** `named`: the mount point that was given; undefined where the drive itself was. undefined: none, or several. */
export function mountedPlaceOf(drive: Drive, named: string | undefined): MountedPlace | undefined {
  const places = drive.parts.flatMap((part) =>
    part.mountPoints.map((mountPoint) => ({ drive, part, mountPoint })),
  );
  const chosen =
    named === undefined ? places : places.filter(({ mountPoint }) => sameFolder(mountPoint, named));
  return chosen.length === 1 || named !== undefined ? chosen[0] : undefined;
}

/** The card itself cannot be opened here, by this user or by this version on this system. */
export function isClosedToUser(error: unknown): error is Failure {
  return error instanceof Failure && ['no-permission', 'devices-not-opened'].includes(error.facts.code);
}

/** A computer's own disk is never walked through, also only to look. */
export function mayLookAtFiles(drive: Drive): boolean {
  const { reason } = driveFitness(drive);
  return (
    isCardLike(drive) && !['system-disk', 'system-path', 'part-of-more', 'virtual'].includes(reason ?? '')
  );
}

/** The same failure, with what a person without rights can do where nothing is mounted, or several things are. */
export function closedToUser({ facts }: Failure, drive: Drive): Failure {
  const count = mountPointsOf(drive).length;
  const next =
    count === 0
      ? 'Open the card in the file manager, so that it is mounted, and run the same again; or run it with administrator rights (sudo).'
      : 'Name the card by where it is mounted, or run it with administrator rights (sudo).';
  return new Failure({ ...facts, where: printable(drive.device, 400), next });
}
