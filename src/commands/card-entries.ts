// All that the record says of cards, read once. Adds nothing up.

import type { Entry } from '../ports/record-store.ts';
import { cardEntryKinds } from '../record/known-cards.ts';
import type { Context } from './context.ts';

/** Empty where there is no record yet. */
export async function cardEntries(context: Context): Promise<Entry[]> {
  const record = await context.record('read');
  if (record === undefined) return [];
  const entries: Entry[] = [];
  for (const kind of cardEntryKinds) {
    for await (const entry of record.entries({ kind })) {
      if (kind !== 'outcome' || entry.body.card !== undefined) entries.push(entry);
    }
  }
  return entries;
}
