// The same entries in SQLite and in PostgreSQL, in whatever order and by whatever way they come in: the same state of
// every unit, to the byte, and the same after a rebuild. Prints its seed and the command that plays a case again.

import Database from 'better-sqlite3';
import fc from 'fast-check';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { StoredEntry } from '../../src/ports/record-rules.ts';
import { noPrev } from '../../src/ports/record-rules.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { sealEntry } from '../../src/record/seal-entry.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { newYear, utc } from '../support/entries.ts';
import { makeTemplate, postgresPlace } from '../support/postgres-place.ts';
import { type PostgresServer, startPostgres } from '../support/postgres-server.ts';
import { randomDrafts } from '../support/random-entries.ts';
import { checkSeeded } from '../support/seeded.ts';
import { sqlitePlace } from '../support/sqlite-place.ts';

let server: PostgresServer;
beforeAll(async () => {
  server = await startPostgres();
  await makeTemplate(server);
});
afterAll(() => server?.remove());

const unitColumns = 'serial, product, site, retired, newest_ms, state';

test('the same entries give the same units, to the byte, on both engines', async () => {
  await checkSeeded(
    'tests/property/both-engines.long.test.ts',
    40,
    fc.asyncProperty(
      fc.array(fc.tuple(randomDrafts, fc.constantFrom('xx', 'yy', 'zz')), { minLength: 1, maxLength: 6 }),
      fc.infiniteStream(fc.nat(5)),
      async (parts, chance) => {
        const chains = new Map<string, StoredEntry[]>();
        for (const [drafts, laptop] of parts) {
          const chain = chains.get(laptop) ?? [];
          chains.set(laptop, chain);
          for (const draft of drafts) {
            const writtenAt = formatLocalTime(newYear + chain.length * 1000, utc);
            chain.push(
              sealEntry(draft, {
                laptop,
                seq: chain.length + 1,
                prev: chain.at(-1)?.hash ?? noPrev,
                writtenAt,
              }),
            );
          }
        }
        // Mixed by chance, each chain in its own order.
        const mixed: StoredEntry[] = [];
        const left = [...chains.values()].map((chain) => [...chain]);
        while (left.some((chain) => chain.length > 0)) {
          const chain = left[chance.next().value % left.length];
          const next = chain?.shift();
          if (next !== undefined) mixed.push(next);
        }
        const [file, place] = [sqlitePlace(), await postgresPlace(server)];
        try {
          const here = file.open();
          await here.takeIn(mixed);
          // Part by the office, which adds units up; part by who may not.
          const middle = Math.floor(mixed.length / 2);
          const added = [
            await (await place.open('desk', 'exchange')).takeIn(mixed.slice(0, middle)),
            await (await place.open('carrier', 'exchange')).takeIn(mixed.slice(middle)),
          ];
          expect(added.reduce((sum, one) => sum + one.added, 0)).toBe(mixed.length);
          const database = new Database(file.path, { readonly: true });
          const expected = database.prepare(`SELECT ${unitColumns} FROM units ORDER BY serial`).all();
          database.close();
          // Whoever may not write units adds up for himself.
          const seen: string[] = [];
          for await (const unit of (await place.open('looker')).units({ retired: 'with' }))
            seen.push(recordRules.encodeUnit(unit));
          const known: string[] = [];
          for await (const unit of here.units({ retired: 'with' })) known.push(recordRules.encodeUnit(unit));
          expect(seen).toEqual(known);
          const office = await place.open('office');
          for await (const _ of office.units()) _;
          const rows = () =>
            server
              .sql(place.database, `SELECT ${unitColumns} FROM slotproof.units ORDER BY serial`)
              .then((all) => all.map((row) => ({ ...row, newest_ms: Number(row.newest_ms) })));
          expect(await rows()).toEqual(expected);
          expect((await office.rebuild()).differed).toEqual([]);
          expect(await rows()).toEqual(expected);
          expect(await office.marks()).toEqual(await here.marks());
        } finally {
          file.remove();
          await place.remove();
        }
      },
    ),
  );
});
