// Writes entry after entry into a record, and says on standard output which ones it was told are on the disk:
// `node record-writer PATH COUNT NAME [in-one]`. COUNT 0: until it is killed. PATH may be the address of a server. `in-one`:
// all of them in one transaction that is more than SQLite holds in memory; an empty line says that the last is handed over.

import { writeSync } from 'node:fs';
import { systemClock } from '../../src/adapters/clock/system-clock.ts';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openPostgresRecord } from '../../src/adapters/record/postgres/open-postgres-record.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';

const [path = '', count = '0', name = 'writer', manner = ''] = process.argv.slice(2);
const parts = { clock: systemClock, random: systemRandom, rules: recordRules };
const store = path.startsWith('postgresql://')
  ? await openPostgresRecord({ url: path, env: process.env, ...parts }, 'own')
  : openSqliteRecord({ path, ...parts }, 'write')!;
const signature = () => ({ claimedAt: formatLocalTime(Date.now(), systemClock), typedBy: name });
const unit = { product: 'rill-40', hardware: 'B', site: 'Alder Farm', details: {} };

const pairOf = (i: number, serial: string, noteLength: number) => [
  draftEntry('unit-added', signature(), { serial, ...unit }),
  draftEntry('outcome', signature(), {
    serial,
    outcome: 'updated',
    evidence: 'read',
    versionRead: `4.${i}`,
    note: 'n'.repeat(noteLength),
  }),
];
// Not through a stream: what is said must not wait in a buffer of a process that is killed.
const say = (entries: readonly { readonly id: string; readonly hash: string }[]) =>
  writeSync(1, entries.map(({ id, hash }) => `${id} ${hash}\n`).join(''));

async function* inOne() {
  for (let i = 0; i < Number(count); i++) yield* pairOf(i, `${name}-${i % 500}`, 4000 + (i % 2000));
  writeSync(1, '\n');
}

if (manner === 'in-one') {
  await store.appendEach(inOne());
  const ends = await store.marks();
  say(ends.map(({ laptop, seq, hash }) => ({ id: `${laptop}-${seq}`, hash })));
} else {
  for (let i = 0; count === '0' || i < Number(count); i++)
    say(await store.append(pairOf(i, `${name}-${i % 20}`, i % 900 || 1)));
}
store.close();
