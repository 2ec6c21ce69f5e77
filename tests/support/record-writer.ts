// Writes entry after entry into a record, and says on standard output which ones it was told are on the disk:
// `node record-writer PATH COUNT NAME`. COUNT 0: until it is killed.

import { writeSync } from 'node:fs';
import { systemClock } from '../../src/adapters/clock/system-clock.ts';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';

const [path = '', count = '0', name = 'writer'] = process.argv.slice(2);
const place = { path, clock: systemClock, random: systemRandom, rules: recordRules };
const store = openSqliteRecord(place, 'write')!;
const signature = () => ({ claimedAt: formatLocalTime(Date.now(), systemClock), typedBy: name });
const unit = { product: 'rill-40', hardware: 'B', site: 'Alder Farm', details: {} };

for (let i = 0; count === '0' || i < Number(count); i++) {
  const serial = `${name}-${i % 20}`;
  const drafts = [
    draftEntry('unit-added', signature(), { serial, ...unit }),
    draftEntry('outcome', signature(), {
      serial,
      outcome: 'updated',
      evidence: 'read',
      versionRead: `4.${i}`,
      note: 'n'.repeat(i % 900 || 1),
    }),
  ];
  const addresses = await store.append(drafts);
  // Not through a stream: what is said must not wait in a buffer of a process that is killed.
  writeSync(1, addresses.map(({ id, hash }) => `${id} ${hash}\n`).join(''));
}
store.close();
