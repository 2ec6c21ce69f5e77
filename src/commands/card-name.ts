// By which name a card goes on record: the one that was asked for, the one it had before, or the next free one. A card
// image file goes by its path unless a name was asked for. Nothing is asked: a name is proposed, and can be chosen.

import { ownIdOf } from '../card/drives/drive-id.ts';
import type { Drive } from '../ports/drives.ts';
import { nextCardName, readCardName } from '../record/card-name.ts';
import { type KnownCard, knownCards } from '../record/known-cards.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { formatSize } from '../words/size.ts';
import { cardEntries } from './card-entries.ts';
import type { Context } from './context.ts';

export interface CardName {
  readonly name: string;
  /** It stands on no label yet, as far as the record knows. */
  readonly isNew: boolean;
}

export function requireCardName(typed: string, option: string): string {
  const name = readCardName(typed);
  if (name !== undefined) return name;
  throw new Failure({
    code: 'bad-card-name',
    exit: 2,
    summary: 'This is no name for a card.',
    seen: printable(typed, 40),
    expected: 'up to 12 letters, figures and dashes, such as KF-03',
    where: option,
    next: 'Choose a name that can be written on its label.',
  });
}

/** Systems write the same id with and without a dash. */
const plainId = (id: string) => id.toUpperCase().replaceAll('-', '');

/** Which of them is plugged in there; undefined: none, or more than one might be. */
export function knownAs(cards: readonly KnownCard[], drive: Drive): KnownCard | undefined {
  const own = ownIdOf(drive);
  const byItself = own === undefined ? undefined : cards.find(({ prepared }) => prepared.cardId === own);
  if (byItself !== undefined) return byItself;
  const ids = new Set(drive.parts.flatMap(({ volumeId }) => (volumeId === null ? [] : [plainId(volumeId)])));
  const alike = cards.filter(
    ({ card, prepared }) =>
      readCardName(card) === card &&
      prepared.sizeBytes === drive.sizeBytes &&
      prepared.volumeId !== undefined &&
      ids.has(plainId(prepared.volumeId)) &&
      !(own !== undefined && prepared.cardId !== undefined),
  );
  return alike.length === 1 ? alike[0] : undefined;
}

function requireNotTaken(name: string, cards: readonly KnownCard[], drive: Drive | undefined): void {
  const other = cards.find(({ card, retired }) => card === name && retired === null);
  if (other === undefined) return;
  const { cardId, sizeBytes } = other.prepared;
  const own = drive && ownIdOf(drive);
  const isOther =
    (cardId !== undefined && own !== undefined && cardId !== own) ||
    (drive !== undefined && drive.sizeBytes !== null && drive.sizeBytes !== sizeBytes);
  if (!isOther) return;
  throw new Failure({
    code: 'card-name-taken',
    exit: 2,
    summary: `${name} is the name of another card.`,
    seen: `a card of ${formatSize(sizeBytes)}, prepared for ${printable(other.prepared.release, 140)}`,
    where: '--card',
    next: `Choose another name; or, where that card is gone: slotproof cards --retire ${name} --why "lost"`,
  });
}

/** undefined: it goes by its path, or nothing is written down (a dry run where there is no record yet). */
export async function cardNameFor(
  context: Context,
  asked: string | undefined,
  drive: Drive | undefined,
  dryRun: boolean,
): Promise<CardName | undefined> {
  if (asked === undefined && drive === undefined) return undefined;
  const cards = knownCards(await cardEntries(context));
  if (asked !== undefined) {
    requireNotTaken(asked, cards, drive);
    return { name: asked, isNew: !cards.some(({ card }) => card === asked) };
  }
  const known = drive && knownAs(cards, drive);
  if (known !== undefined) return { name: known.card, isNew: false };
  const record = dryRun ? await context.record('read') : await context.record('write');
  if (record === undefined) return undefined;
  return { name: nextCardName(record.laptop, new Set(cards.map(({ card }) => card))), isNew: true };
}
