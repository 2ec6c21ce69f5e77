// What `check` found, on record: only of a card that the record knows, so that it is known to be back and how it was
// found. A look must not fail because of it: where the record cannot be written to, nothing is said but the look.

import type { Drive } from '../ports/drives.ts';
import type { EntryAddress } from '../ports/record-store.ts';
import { type CardChecked, draftEntry } from '../record/entry.ts';
import { knownCards } from '../record/known-cards.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { cardEntries } from './card-entries.ts';
import { knownAs } from './card-name.ts';
import type { Context } from './context.ts';
import { nobodyNamed } from './register-signer.ts';

export interface CheckedPlace {
  readonly path: string;
  /** undefined: a card image file. */
  readonly drive: Drive | undefined;
}

/** undefined: the record does not know the card, or could not be written to. */
export async function rememberCheck(
  context: Context,
  { path, drive }: CheckedPlace,
  found: Omit<CardChecked, 'card'>,
): Promise<EntryAddress | undefined> {
  try {
    const cards = knownCards(await cardEntries(context));
    const absolute = context.files.absolute(path);
    const known = drive === undefined ? cards.find(({ card }) => card === absolute) : knownAs(cards, drive);
    if (known === undefined) return undefined;
    const { clock } = context;
    const signature = {
      claimedAt: formatLocalTime(clock.now(), clock),
      typedBy: context.typedBy ?? nobodyNamed,
    };
    const store = await context.record('write');
    const [entry] = await store.append([
      draftEntry('card-checked', signature, { card: known.card, ...found }),
    ]);
    return entry;
  } catch (error) {
    if (error instanceof Failure) return undefined;
    throw error;
  }
}
