// Waits until the card was taken out of its reader and put back, and says whether it is the same card. Polls the table of
// drives; a person may stop it at any time. Another card in its place ends the run (exit 5).

import { driveFitness, isCardLike, mountPointsOf } from '../../card/drives/drive-fitness.ts';
import { type ChosenDrive, recogniseAgain } from '../../card/drives/drive-guard.ts';
import type { Drive, Drives, DriveTable } from '../../ports/drives.ts';
import { cardChanged } from '../same-card.ts';
import { stopped } from './write-mounted.ts';

export interface WaitPorts {
  readonly drives: Drives;
  readonly stop: { readonly aborted: boolean };
  pause(ms: number): Promise<void>;
  say(line: string): void;
}

const pauseMs = 500;
/** Ten minutes for each of the two moves. */
const mostPolls = 1200;
/** A system may need so long to have read all that it tells of a card. */
const settlingPolls = 10;

const plainFacts = (drive: Drive) =>
  JSON.stringify([
    drive.device,
    drive.sizeBytes,
    drive.serial,
    drive.tableId,
    drive.parts.map((part) => [part.device, part.volumeId]),
  ]);

/** A card that was not there when the reader was empty, and is not the one that is waited for. */
function strangerIn(table: DriveTable, whenOut: DriveTable): Drive | undefined {
  const before = new Set(whenOut.drives.map(plainFacts));
  return table.drives.find(
    (drive) => isCardLike(drive) && drive.sizeBytes !== null && !before.has(plainFacts(drive)),
  );
}

/** undefined: nobody moved it in time. */
export async function waitForCard(
  { drives, stop, pause, say }: WaitPorts,
  chosen: ChosenDrive,
  path: string,
): Promise<Drive | undefined> {
  const next = async () => {
    if (stop.aborted) throw stopped(path);
    await pause(pauseMs);
    if (stop.aborted) throw stopped(path);
    return await drives.list();
  };
  let whenOut: DriveTable | undefined;
  for (let poll = 0; whenOut === undefined; poll++) {
    if (poll === mostPolls) return undefined;
    const table = await next();
    if (recogniseAgain(chosen, table) === undefined) whenOut = table;
  }
  say('It is out. Put it back in now.');
  let strange = 0;
  let unmounted = 0;
  for (let poll = 0; poll < mostPolls; poll++) {
    const table = await next();
    const same = recogniseAgain(chosen, table);
    if (same === undefined) {
      strange = strangerIn(table, whenOut) === undefined ? 0 : strange + 1;
      if (strange === settlingPolls) throw cardChanged(path, 'the card in the reader');
      continue;
    }
    const { reason, why } = driveFitness(same);
    if (reason !== null && reason !== 'read-only') throw cardChanged(path, `${why}: what is in the reader`);
    if (mountPointsOf(same).length > 0) return same;
    unmounted++;
    if (unmounted !== settlingPolls) continue;
    const [part] = same.parts;
    const [before] = mountPointsOf(chosen.drive);
    // Most desktops mount it by themselves; where this user may not, it is waited on.
    if (part !== undefined && before !== undefined) await drives.mount(part, before).catch(() => {});
    if (
      mountPointsOf((await drives.list()).drives.find(({ device }) => device === same.device) ?? same)
        .length === 0
    )
      say('Open the card in the file manager, so that it is mounted.');
  }
  return undefined;
}
