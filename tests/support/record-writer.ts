// Writes entry after entry into a record, and says on standard output which ones it was told are on the disk:
// `node record-writer PATH COUNT NAME`. COUNT 0: until it is killed. PATH may be the address of a server.

import { writeSync } from 'node:fs';
import { systemClock } from '../../src/adapters/clock/system-clock.ts';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openPostgresRecord } from '../../src/adapters/record/postgres/open-postgres-record.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';

const [path = '', count = '0', name = 'writer'] = process.argv.slice(2);
const parts = { clock: systemClock, random: systemRandom, rules: recordRules };
const store = path.startsWith('postgresql://')
  ? await openPostgresRecord({ url: path, env: process.env, ...parts }, 'own')
  : openSqliteRecord({ path, ...parts }, 'write')!;
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
