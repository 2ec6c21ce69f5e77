// What a person means by CARD: a card image file, or a drive that is plugged in, named by its device or by where it is
// mounted. Looks the drive up, asks the guard, and knows how to ask it again; opens and writes nothing.

import { driveFitness, type FitnessLimits } from '../card/drives/drive-fitness.ts';
import {
  type ChosenDrive,
  decideAgain,
  decideWrite,
  findDrive,
  type GuardAnswer,
} from '../card/drives/drive-guard.ts';
import { driveIds, isSameId } from '../card/drives/drive-id.ts';
import type { Drive } from '../ports/drives.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { formatSize } from '../words/size.ts';
import { ownPathsOf } from './cards.ts';
import type { Context } from './context.ts';

export interface DrivePlace {
  readonly given: string;
  /** Through every link, as it was when it was looked at. */
  readonly leadsTo: string;
  readonly mountPoint: string | undefined;
}

const nextSteps: Readonly<Record<string, string>> = {
  'read-only': 'Slide the lock on its edge back, or take another card; then run the same again.',
  'a-partition': 'Name the whole card, as "slotproof cards" shows it.',
  'system-path': 'Take another card. If this is the card, unmount it by hand first.',
  empty: 'Put the card in, then run the same command again.',
  'drive-gone': 'Put the card back in, then run the same command again.',
};

function guardFailure({ reason, why, drive }: GuardAnswer & { kind: 'refused' }, given: string): Failure {
  const isChange = ['link-changed', 'drive-gone', 'drive-changed'].includes(reason);
  const exit = reason === 'read-only' || reason === 'empty' ? 6 : reason === 'no-such-drive' ? 2 : 5;
  return new Failure({
    code: isChange ? 'card-changed' : reason === 'read-only' ? 'write-protected' : reason,
    exit,
    summary: isChange
      ? 'This is no longer the card that was confirmed.'
      : `Not written to: ${printable(why, 300)}.`,
    ...(isChange ? { seen: why } : {}),
    ...(drive === undefined
      ? {}
      : { expected: isChange ? 'the same card' : 'a memory card or a stick that can be taken out' }),
    where: printable(given, 400),
    next: nextSteps[reason] ?? 'Look at "slotproof cards" which card is meant, then run the command again.',
  });
}

function noCard(given: string): Failure {
  return new Failure({
    code: 'card-absent',
    exit: 2,
    summary: 'No card is plugged in there.',
    expected: 'a mount point, a drive letter, a device, or a card image file (*.img)',
    where: printable(given, 400),
    next: 'Look at "slotproof cards" what is plugged in and where.',
  });
}

export interface SeenDrive {
  readonly drive: Drive;
  readonly id: string;
  readonly as: 'device' | 'partition' | 'mount-point';
  readonly leadsTo: string;
}

/** To look at: fit to be written to or not. Failure exit 2 where no drive is there. */
export async function requireSeenDrive(context: Context, given: string): Promise<SeenDrive> {
  const drives = await context.drives();
  const leadsTo = drives.resolve(given);
  const table = await drives.list();
  const found = findDrive(table, { given, leadsTo });
  if (found === undefined || leadsTo === undefined) throw noCard(given);
  return { ...found, leadsTo, id: driveIds(table).get(found.drive.device) ?? '' };
}

export interface GuardedDrive {
  readonly chosen: ChosenDrive;
  /** Asked right before the first write, from a new table. Failure exit 5 where anything changed. */
  requireSame(): Promise<void>;
}

/** To be written to. Failure exit 5 where it must not be, exit 2 where no drive is there, 6 where it is locked. */
export async function requireGuardedDrive(
  context: Context,
  given: string,
  maxBytes: number | undefined,
  from: string | undefined,
): Promise<GuardedDrive> {
  const drives = await context.drives();
  const limits = async (): Promise<FitnessLimits> => ({
    maxBytes,
    ownPaths: await ownPathsOf(context, from === undefined ? [] : [context.files.absolute(from)]),
  });
  const wanted = { given, leadsTo: drives.resolve(given) };
  const table = await drives.list();
  const first = decideWrite(table, wanted, await limits());
  if (first.kind === 'refused') {
    throw first.reason === 'no-such-drive' ? noCard(given) : guardFailure(first, given);
  }
  // Unmounting changes nothing that tells the card, but its mount point goes: the table after it is the one to go by.
  let { chosen } = first;
  return {
    get chosen() {
      return chosen;
    },
    async requireSame() {
      const now = { given, leadsTo: drives.resolve(given) };
      const again = decideAgain(chosen, await drives.list(), now, await limits());
      if (again.kind === 'refused') throw guardFailure(again, given);
      chosen = again.chosen;
    },
  };
}

/** Failure exit 5 where another card is confirmed than is named. */
export function requireConfirmedId(confirm: string | undefined, { id, drive }: ChosenDrive): boolean {
  if (confirm === undefined) return false;
  if (isSameId(confirm, id)) return true;
  throw new Failure({
    code: 'other-card-confirmed',
    exit: 5,
    summary: 'The card that is confirmed is not the card that is plugged in there.',
    seen: `--confirm ${printable(confirm, 200)}`,
    expected: `--confirm ${id}`,
    where: drive.device,
    next: 'Look at "slotproof cards" which card is meant, then give its ID.',
  });
}

/** Which card, where none was named: asked at a terminal, never guessed. */
export async function requireCardChoice(context: Context, question: string): Promise<string> {
  const { terminal } = context;
  const choices = await usableCards(context);
  if (!terminal.interactive) {
    throw new Failure({
      code: 'answer-missing',
      exit: 2,
      summary: 'Which card is meant was not said.',
      ...(choices.length === 0 ? {} : { seen: choices.map(({ label }) => label).join('; ') }),
      expected: 'CARD',
      next: 'Name the card by its device, its mount point or its card image file (*.img).',
      more: { choices: choices.map(({ value }) => value) },
    });
  }
  if (choices.length === 0) return await terminal.text(`${question} The path of its image file`, 'CARD');
  const other = { value: '', label: 'a card image file' };
  const chosen = await terminal.choose(question, [...choices, other], 'CARD');
  return chosen === '' ? await terminal.text('The path of the card image file?', 'CARD') : chosen;
}

async function usableCards(context: Context) {
  try {
    const table = await (await context.drives()).list();
    const ids = driveIds(table);
    return table.drives
      .filter((drive) => driveFitness(drive).usable)
      .map((drive) => {
        const label = drive.parts.find((part) => part.label !== null)?.label;
        const says = [
          drive.device,
          drive.sizeBytes === null ? '' : formatSize(drive.sizeBytes),
          label == null ? '' : `label ${printable(label, 40)}`,
        ];
        return {
          value: drive.device,
          label: `${ids.get(drive.device) ?? ''} (${says.filter((part) => part !== '').join(', ')})`,
        };
      });
  } catch (error) {
    // Where drives cannot be told there are still card image files.
    if (error instanceof Failure) return [];
    throw error;
  }
}
