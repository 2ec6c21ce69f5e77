// A packet of many entries, and a plain loop that only inserts what is in it: what `record take-in` is measured against.
// `npm run bench -- packets` builds and runs it. The loop checks nothing and adds nothing up.

import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { chainOf, newYear } from '../support/entries.ts';
import { packetText } from '../support/packets.ts';

const laptops = 10;
const minute = 60_000;

/** Units with some outcomes each, spread over the chains of ten laptops. */
function makePacket(path: string, entries: number): void {
  const perLaptop = Math.trunc(entries / laptops);
  const unitsPerLaptop = Math.trunc(perLaptop / 5);
  const units = unitsPerLaptop * laptops;
  const serialOf = (number: number) => `BN${String(number % units).padStart(7, '0')}`;
  const chains = Array.from({ length: laptops }, (_, at) => {
    const chain = chainOf(`laptop${'abcdefghij'[at]}`);
    for (let i = 0; i < perLaptop; i++) {
      const number = at * unitsPerLaptop + i;
      const serial = serialOf(number);
      const site = `Farm ${number % 500}`;
      if (i < unitsPerLaptop)
        chain.add('unit-added', { serial, product: 'bench', hardware: 'A', site, details: {} }, newYear);
      else
        chain.add(
          'outcome',
          {
            serial: serialOf(number * 7),
            outcome: 'updated',
            evidence: 'read',
            release: 'bench@1.0.0',
            versionRead: '1.0.0',
            left: 'running',
            note: 'as it should be',
          },
          newYear + i * minute,
        );
    }
    return chain.stored;
  });
  writeFileSync(path, packetText({ chains }));
}

function insertAll(packet: string, path: string, inOne: boolean): void {
  for (const end of ['', '-wal', '-shm']) rmSync(`${path}${end}`, { force: true });
  const database = new Database(path);
  database.pragma('journal_mode = WAL');
  database.pragma('synchronous = FULL');
  database.exec(`
    CREATE TABLE entries (laptop TEXT NOT NULL, seq INTEGER NOT NULL, kind TEXT NOT NULL, serial TEXT,
      claimed_ms INTEGER NOT NULL, written_ms INTEGER NOT NULL, hash TEXT NOT NULL, text TEXT NOT NULL,
      UNIQUE (laptop, seq)) STRICT;
    CREATE INDEX by_serial ON entries (serial, claimed_ms, written_ms, laptop, seq) WHERE serial IS NOT NULL;
    CREATE INDEX by_kind ON entries (kind, claimed_ms, written_ms, laptop, seq);`);
  const insert = database.prepare('INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?)');
  const loop = () => {
    for (const line of readFileSync(packet, 'utf8').split('\n')) {
      if (!line.startsWith('{"hash"')) continue;
      const { hash, entry } = JSON.parse(line);
      const { laptop, seq, kind, claimedAt, writtenAt, body } = entry;
      insert.run(
        ...[laptop, seq, kind, body.serial ?? null, Date.parse(claimedAt), Date.parse(writtenAt)],
        ...[hash, line.slice(83, -1)],
      );
    }
  };
  if (inOne) database.transaction(loop)();
  else loop();
  database.close();
}

const [what, packet = '', more = ''] = process.argv.slice(2);
if (what === 'make') makePacket(packet, Number(more));
else insertAll(packet, more, what === 'in-one');
