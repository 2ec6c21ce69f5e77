// Can the record be read, and does the clock agree with it? Its structure is not read through: that is `record check`.

import type { RecordStore } from '../../ports/record-store.ts';
import { entryId } from '../../record/seal-entry.ts';
import type { UnitRecord } from '../../record/unit-record.ts';
import { counted } from '../../words/counted.ts';
import { Failure } from '../../words/failure.ts';
import { formatLocalTime } from '../../words/local-time.ts';
import type { Context } from '../context.ts';
import { good, type LaptopCheck } from './laptop-check.ts';

export async function checkRecord(context: Context): Promise<LaptopCheck> {
  const record = await context.record('read');
  if (record === undefined) return good('record', 'There is none yet; the first entry begins it.');
  const { entries, units, laptops } = await record.counts();
  const said = `${counted(entries, 'entry', 'entries')}, ${counted(units, 'unit')}, ${counted(laptops, 'laptop')}`;
  return good('record', `It can be read: ${said}. Whether it is whole: slotproof record check`);
}

/** As far as two laptops' clocks may differ without a word. */
const toleranceMs = 5 * 60_000;

export async function checkClock(context: Context): Promise<LaptopCheck> {
  const { clock } = context;
  const nowMs = clock.now();
  const now = `It is ${formatLocalTime(nowMs, clock).slice(0, 16).replace('T', ' ')} here.`;
  const newestMs = await newestWritten(await readable(context));
  if (newestMs !== undefined && newestMs > nowMs + toleranceMs) {
    return {
      check: 'clock',
      verdict: 'stop',
      summary: 'The clock of this laptop is behind the newest entry on record.',
      seen: formatLocalTime(nowMs, clock),
      expected: `later than ${formatLocalTime(newestMs, clock)}`,
      next: 'Set date, time and time zone of this laptop.',
    };
  }
  const day = formatLocalTime(nowMs, clock).slice(0, 10);
  const ahead = (await context.catalogue()).releases.filter(({ issued }) => issued > day);
  if (ahead.length === 0) return good('clock', now);
  return {
    check: 'clock',
    verdict: 'warn',
    summary: 'A manifest says that its release comes out after today.',
    seen: formatLocalTime(nowMs, clock),
    expected: `${ahead[0]!.product}@${ahead[0]!.version}: ${ahead[0]!.issued}`,
    next: 'See whether the clock of this laptop or that manifest is wrong.',
  };
}

/** A record that cannot be read is another check's answer. */
async function readable(context: Context): Promise<RecordStore<UnitRecord> | undefined> {
  try {
    return await context.record('read');
  } catch (error) {
    if (error instanceof Failure) return undefined;
    throw error;
  }
}

async function newestWritten(record: RecordStore<UnitRecord> | undefined): Promise<number | undefined> {
  let newest: number | undefined;
  for (const { laptop, seq } of (await record?.marks()) ?? []) {
    const atMs = (await record?.entry(entryId(laptop, seq)))?.writtenMs;
    if (atMs !== undefined && (newest === undefined || atMs > newest)) newest = atMs;
  }
  return newest;
}
