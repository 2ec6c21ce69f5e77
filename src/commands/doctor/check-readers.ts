// Does the system tell which drives there are, and may this user open a card? Opens a card that is in a reader to read it,
// and reads nothing.

import { driveFitness, isCardLike } from '../../card/drives/drive-fitness.ts';
import { counted } from '../../words/counted.ts';
import { Failure } from '../../words/failure.ts';
import { printable } from '../../words/printable.ts';
import { ownPathsOf } from '../cards.ts';
import type { Context } from '../context.ts';
import { isClosedToUser } from '../mounted-place.ts';
import { good, type LaptopCheck } from './laptop-check.ts';

export async function checkReaders(context: Context): Promise<LaptopCheck> {
  const { drives } = await (await context.drives()).list();
  const limits = { ownPaths: await ownPathsOf(context) };
  const usable = drives.filter((drive) => isCardLike(drive) && driveFitness(drive, limits).usable);
  const said = `The system answers: ${counted(drives.length, 'drive')}, ${usable.length} of them may be taken for a card.`;
  const first = usable[0];
  if (first === undefined) {
    return good('readers', `${said} No card is in, so whether you may open one is not known.`);
  }
  try {
    context.cards.openToRead(first.device).close();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    const { facts } = error;
    const isClosed = isClosedToUser(error);
    return {
      check: 'readers',
      verdict: 'warn',
      summary: isClosed
        ? 'You may not open cards themselves: they are looked at and prepared by their files.'
        : 'The card that is in a reader cannot be opened.',
      seen: facts.seen ?? facts.summary,
      where: printable(first.device, 200),
      next: isClosed
        ? 'That takes a mounted card, and it must be put in twice to be read back. See the README, "Cards in a reader", for how to be allowed to open them.'
        : facts.next,
    };
  }
  return good('readers', `${said} ${printable(first.device, 200)} can be opened.`);
}

/** Sheets and labels as PDF need their letters. */
export async function checkPaper(context: Context): Promise<LaptopCheck> {
  await context.press();
  return good('paper', 'Sheets and labels can be made as PDF.');
}
