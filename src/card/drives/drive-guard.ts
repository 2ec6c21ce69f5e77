// Which drive is meant, and may it be written to: asked when the person is asked, and once more from a new table right
// before the first write. Pure: from tables to an answer. Any change between the two, however small, is a refusal.

import type { Drive, DriveTable } from '../../ports/drives.ts';
import { driveFitness, type FitnessLimits, mountPointsOf, type UnfitReason } from './drive-fitness.ts';
import { driveIds } from './drive-id.ts';

/** A path as it was given, and where it led when it was looked at. */
export interface WantedDrive {
  readonly given: string;
  readonly leadsTo: string | undefined;
}

export interface ChosenDrive {
  readonly drive: Drive;
  readonly id: string;
  readonly wanted: WantedDrive;
  /** The path is where a file system of it is mounted, not the device. */
  readonly mountPoint: string | undefined;
}

export type GuardRefusal =
  | UnfitReason
  | 'no-such-drive'
  | 'a-partition'
  | 'link-changed'
  | 'drive-gone'
  | 'drive-changed';

export type GuardAnswer =
  | { readonly kind: 'allowed'; readonly chosen: ChosenDrive }
  | {
      readonly kind: 'refused';
      readonly reason: GuardRefusal;
      readonly why: string;
      readonly drive: Drive | undefined;
    };

const same = (a: string, b: string) =>
  /^([A-Z]:|\\\\\.\\)/i.test(a)
    ? a.replace(/\\$/, '').toUpperCase() === b.replace(/\\$/, '').toUpperCase()
    : a === b;

function refused(reason: GuardRefusal, why: string, drive?: Drive): GuardAnswer {
  return { kind: 'refused', reason, why, drive };
}

/** The one drive that a path stands for, fit or not. */
export function findDrive(
  { drives }: DriveTable,
  { leadsTo }: WantedDrive,
): { readonly drive: Drive; readonly as: 'device' | 'partition' | 'mount-point' } | undefined {
  if (leadsTo === undefined) return undefined;
  for (const drive of drives) {
    if (same(leadsTo, drive.device)) return { drive, as: 'device' };
    if (mountPointsOf(drive).some((point) => same(leadsTo, point))) return { drive, as: 'mount-point' };
    if (drive.parts.some((part) => same(leadsTo, part.device))) return { drive, as: 'partition' };
  }
  return undefined;
}

export function decideWrite(table: DriveTable, wanted: WantedDrive, limits: FitnessLimits): GuardAnswer {
  const found = findDrive(table, wanted);
  if (found === undefined) return refused('no-such-drive', 'no drive is seen there');
  const { drive, as } = found;
  const { reason, why } = driveFitness(drive, limits);
  if (reason !== null) return refused(reason, why, drive);
  if (as === 'partition') {
    return refused('a-partition', `it is a part of ${drive.device}; the whole card is named instead`, drive);
  }
  const id = driveIds(table).get(drive.device) ?? '';
  const mountPoint = as === 'mount-point' ? wanted.leadsTo : undefined;
  return { kind: 'allowed', chosen: { drive, id, wanted, mountPoint } };
}

/** What must be the same to the letter. Mount points may go: a card is unmounted before it is written. */
function factsOf(drive: Drive): Readonly<Record<string, unknown>> {
  const { device, sizeBytes, sectorBytes, bus, model, serial, partitionTable, tableId, parts } = drive;
  return {
    device,
    'its size': sizeBytes,
    'its sectors': sectorBytes,
    'how it is connected': bus,
    'its model': model,
    'its serial': serial,
    'its partition table': [partitionTable, tableId],
    // A system that knows nothing of a bare volume tells of it only as long as it is mounted: that tells no card.
    'its volumes': parts
      .filter((part) => part.device !== device || part.fileSystem !== null || part.volumeId !== null)
      .map((part) => [part.device, part.sizeBytes, part.fileSystem, part.volumeId]),
  };
}

/** `limits` again, since what else is on the computer may have changed, too. */
export function decideAgain(
  chosen: ChosenDrive,
  table: DriveTable,
  wanted: WantedDrive,
  limits: FitnessLimits,
): GuardAnswer {
  const before = chosen.drive;
  // A mount point leads nowhere once the card is unmounted; then the device alone says which it is.
  const goesByDevice = chosen.mountPoint !== undefined && findDrive(table, wanted) === undefined;
  if (!goesByDevice && wanted.leadsTo !== chosen.wanted.leadsTo) {
    return refused('link-changed', 'the path leads somewhere else by now', before);
  }
  const now = decideWrite(
    table,
    goesByDevice ? { given: before.device, leadsTo: before.device } : wanted,
    limits,
  );
  if (now.kind === 'refused') {
    return now.reason === 'no-such-drive' ? refused('drive-gone', 'the card is gone', before) : now;
  }
  const [was, is] = [factsOf(before), factsOf(now.chosen.drive)];
  const changed = Object.keys(was).find((key) => JSON.stringify(was[key]) !== JSON.stringify(is[key]));
  if (changed !== undefined) {
    const what = changed === 'device' ? 'the drive behind it' : changed;
    return refused('drive-changed', `${what} changed since the question`, now.chosen.drive);
  }
  return { kind: 'allowed', chosen: { ...now.chosen, id: chosen.id, mountPoint: chosen.mountPoint } };
}

/** Back in its reader, maybe under another name: the one drive that is the same card by all that it says of itself. */
export function recogniseAgain(chosen: ChosenDrive, table: DriveTable): Drive | undefined {
  const { drive: before } = chosen;
  const factsOfCard = (drive: Drive) =>
    JSON.stringify([
      drive.sizeBytes,
      drive.bus === 'mmc' ? drive.serial : null,
      drive.tableId,
      drive.parts.map((part) => [part.sizeBytes, part.volumeId]),
    ]);
  const alike = table.drives.filter(
    (drive) => driveFitness(drive).reason !== 'internal' && factsOfCard(drive) === factsOfCard(before),
  );
  return alike.length === 1 ? alike[0] : undefined;
}
