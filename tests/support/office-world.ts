// A server and laptops for tests of syncing: each laptop a workspace with its own entries, written without the command
// line, and its user on the server.

import { expect } from 'vitest';
import { systemRandom } from '../../src/adapters/random/system-random.ts';
import { openSqliteRecord } from '../../src/adapters/record/sqlite/open-sqlite-record.ts';
import type { EntryDraft } from '../../src/ports/record-store.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { recordRules } from '../../src/record/record-rules.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { newYear, utc } from './entries.ts';
import { type PostgresPlace, rolePassword } from './postgres-place.ts';
import type { PostgresServer } from './postgres-server.ts';
import { type RegisterWorkspace, registerWorkspace } from './register-workspace.ts';
import { type CliResult, runCli } from './run-cli.ts';
import { testClock } from './test-clock.ts';

export interface OfficeLaptop {
  readonly workspace: RegisterWorkspace;
  readonly id: string;
  /** `count` more entries of a few units, which all laptops know. */
  write(count: number): Promise<void>;
  cli(...args: string[]): Promise<CliResult>;
  sync(url: string): Promise<CliResult>;
}

export async function officeLaptop(
  server: PostgresServer,
  place: PostgresPlace,
  role: string,
): Promise<OfficeLaptop> {
  const workspace = registerWorkspace();
  const opened = () => {
    const at = { path: workspace.record, clock: testClock, random: systemRandom, rules: recordRules };
    const store = openSqliteRecord(at, 'write');
    if (store === undefined) throw new Error('no record');
    return store;
  };
  const store = opened();
  const id = store.laptop;
  store.close();
  await server.sql(place.database, `SELECT slotproof.admit('${role}', '${id}')`);
  let written = 0;
  const cli = (...args: string[]) =>
    runCli([...args, '--json'], { workspace: workspace.path, env: { PGPASSWORD: rolePassword } });
  return {
    workspace,
    id,
    async write(count) {
      const record = opened();
      const drafts = Array.from({ length: count }, (): EntryDraft => {
        written += 1;
        const serial = `S${written % 40}`;
        const signature = { claimedAt: formatLocalTime(newYear + written * 60_000, utc), typedBy: id };
        return written <= 40
          ? draftEntry('unit-added', signature, {
              serial,
              product: 'rill-40',
              hardware: 'B',
              site: 'Alder Farm',
              details: {},
            })
          : draftEntry('outcome', signature, {
              serial,
              outcome: 'updated',
              evidence: 'read',
              versionRead: `4.${written}`,
              note: 'n'.repeat(1 + (written % 300)),
            });
      });
      await record.append(drafts);
      record.close();
    },
    cli,
    sync: (url) => cli('record', 'sync', url),
  };
}

/** Everything that the server and these hold is the same, and sound. */
export async function requireInStep(
  laptops: readonly OfficeLaptop[],
  place: PostgresPlace,
  entries: number,
): Promise<void> {
  const there = await laptops[0]!.cli('record', 'check', '--record', place.url('office'));
  expect(there).toMatchObject({ exit: 0, json: { verdict: 'intact', entries } });
  for (const laptop of laptops) {
    expect(await laptop.cli('record', 'check')).toMatchObject({ exit: 0, json: { entries } });
    expect((await laptop.cli('record', 'mark')).json.marks).toEqual(there.json.marks);
  }
  expect(await laptops[0]!.cli('record', 'rebuild', '--record', place.url('office'))).toMatchObject({
    exit: 0,
    json: { differed: [] },
  });
}
