// The withdrawals on record, by release: the first one of each that still stands. Kept apart from the manifests, which a
// maker's next notice may change; a correction takes one back. A record that cannot be read stops nobody here, but then
// nobody may call anything ready: the catalogue says so.

import type { Unread, Withdrawal } from '../manifest/withdrawals.ts';
import { countedEntries } from '../record/counted-entries.ts';
import { knownEntry } from '../record/entry.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import type { Context } from './context.ts';

export async function recordWithdrawals(
  context: Pick<Context, 'record' | 'clock' | 'terminal'>,
): Promise<ReadonlyMap<string, Withdrawal> | Unread> {
  const withdrawals = new Map<string, Withdrawal>();
  try {
    const record = await context.record('read');
    if (record === undefined) return withdrawals;
    for await (const entry of countedEntries(record, { kind: 'release-withdrawn' })) {
      const known = knownEntry(entry);
      if (known?.kind !== 'release-withdrawn' || withdrawals.has(known.body.release)) continue;
      const { release, why, doThis } = known.body;
      const on = formatLocalDay(known.claimedMs, context.clock);
      withdrawals.set(release, { on, why, ...(doThis === undefined ? {} : { doThis }) });
    }
  } catch (error) {
    // What lights mean, say, must not hang on the record; whatever writes to it fails by itself.
    if (!(error instanceof Failure)) throw error;
    const { summary, seen, where, next } = error.facts;
    context.terminal.notice(`Withdrawals on record are not known now: ${summary}`);
    return {
      seen: seen === undefined ? summary : `${summary} ${seen}`,
      next,
      ...(where === undefined ? {} : { where }),
    };
  }
  return withdrawals;
}
