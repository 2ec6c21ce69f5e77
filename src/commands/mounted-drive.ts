// A drive that a desktop has mounted: unmounted before it is written to, and let go of afterwards. A card image file has
// nothing to unmount.

import { setTimeout as pause } from 'node:timers/promises';
import { mountPointsOf } from '../card/drives/drive-fitness.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { GuardedDrive } from './card-place.ts';
import type { Context } from './context.ts';

interface DriveOrder {
  readonly path: string;
  /** undefined: a card image file. */
  readonly drive: GuardedDrive | undefined;
}

/** What is mounted is written to behind our back; and what is read of it may be older than what is on it. */
export async function unmountFirst(
  { cards, drives, terminal }: Context,
  { drive, path }: DriveOrder,
): Promise<void> {
  if (drive === undefined) return;
  // A card that cannot be opened here is left mounted: this fails where the user or the system may not.
  cards.isWriteProtected(path);
  const mounted = mountPointsOf(drive.chosen.drive);
  if (mounted.length === 0) return await drive.requireSame();
  terminal.notice(`Unmounting ${mounted.map((point) => printable(point, 400)).join(', ')}.`);
  await (await drives()).unmount(drive.chosen.drive);
  await settled(async () => {
    await drive.requireSame();
    cards.openToWrite(path).close();
  });
}

const settlingTries = 6;
const settlingMs = 300;

/**
 * Right after an unmount a system may be at the card still: lists of drives are half made, and the card is held. It is
 * asked again a few times, always for the card that was confirmed; what does not become so again is refused as ever.
 */
async function settled(act: () => Promise<void>): Promise<void> {
  for (let tries = 1; ; tries++) {
    try {
      return await act();
    } catch (error) {
      const mayPass = error instanceof Failure && ['card-changed', 'card-busy'].includes(error.facts.code);
      if (!mayPass || tries === settlingTries) throw error;
      await pause(settlingMs);
    }
  }
}

/** A desktop may have mounted it again as soon as it could be read. Whether nothing uses the card any more. */
export async function letGo({ drives }: Context, { drive }: Pick<DriveOrder, 'drive'>): Promise<boolean> {
  if (drive === undefined) return false;
  try {
    const port = await drives();
    const { device } = drive.chosen.drive;
    const now = (await port.list()).drives.find((one) => one.device === device);
    if (now === undefined) return false;
    await port.unmount(now);
    return true;
  } catch (error) {
    if (error instanceof Failure) return false;
    throw error;
  }
}
