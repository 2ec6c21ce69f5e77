// All that the record says of cards, read once. Adds nothing up.

import { countedEntries } from '../record/counted-entries.ts';
import { type KnownEntry, knownEntry } from '../record/entry.ts';
import { cardEntryKinds } from '../record/known-cards.ts';
import { repeatedOutcomes } from '../record/repeated-outcomes.ts';
import type { Context } from './context.ts';

/** Empty where there is no record yet. */
export async function cardEntries(context: Context): Promise<KnownEntry[]> {
  const record = await context.record('read');
  if (record === undefined) return [];
  const entries: KnownEntry[] = [];
  const repeats = repeatedOutcomes();
  for (const kind of cardEntryKinds) {
    for await (const entry of countedEntries(record, { kind })) {
      const known = knownEntry(entry);
      if (known === undefined) continue;
      if (known.kind === 'outcome' && (known.body.card === undefined || repeats(known.body))) continue;
      entries.push(known);
    }
  }
  return entries;
}
