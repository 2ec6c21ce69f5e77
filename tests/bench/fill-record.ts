// Fills a record for the benchmarks: `node fill-record PATH COUNT` adds that many units, one entry each.

import { systemClock } from '../../src/adapters/clock/system-clock.ts';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';

const [path = '', count = '0'] = process.argv.slice(2);
const store = openSqliteRecord(
  { path, clock: systemClock, random: systemRandom, rules: recordRules },
  'write',
)!;
const signature = { claimedAt: formatLocalTime(Date.now(), systemClock), typedBy: 'R. Quill' };
const batch = 20_000;
for (let from = 0; from < Number(count); from += batch) {
  const drafts = Array.from({ length: Math.min(batch, Number(count) - from) }, (_, i) =>
    draftEntry('unit-added', signature, {
      serial: `BN${String(from + i).padStart(7, '0')}`,
      product: 'bench',
      hardware: 'A',
      site: `Farm ${(from + i) % 5000}`,
      details: {},
    }),
  );
  await store.append(drafts);
}
store.close();
