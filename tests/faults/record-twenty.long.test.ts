// Twenty programs at once, on both engines: they start on nothing, and they log for a minute until they are killed. There
// is one record, every entry that was acknowledged is in it once, and the chain has no gap.

import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { RecordStore } from '../../src/ports/record-store.ts';
import { bundleForNode } from '../support/bundle-for-node.ts';
import { makeTemplate, postgresPlace, rolePassword } from '../support/postgres-place.ts';
import { adminPassword, type PostgresServer, startPostgres } from '../support/postgres-server.ts';
import { sqlitePlace } from '../support/sqlite-place.ts';

const twenty = Array.from({ length: 20 }, (_, at) => `writer-${at}`);

let server: PostgresServer;
let folder: string;
let writer: string;
beforeAll(async () => {
  server = await startPostgres();
  folder = mkdtempSync(join(tmpdir(), 'slotproof-twenty-'));
  writer = await bundleForNode('record-writer', folder);
});
afterAll(async () => {
  await server?.remove();
  rmSync(folder, { recursive: true, force: true });
});

interface Program {
  readonly child: ChildProcess;
  /** Its exit code, or null where it was killed; and what it said. */
  readonly ended: Promise<{ code: number | null; said: string[]; complaints: string }>;
}

function run(script: string, args: readonly string[], env: Record<string, string> = {}): Program {
  const child = spawn(process.execPath, [script, ...args], { env: { ...process.env, ...env } });
  let [output, complaints] = ['', ''];
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    output += text;
  });
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    complaints += text;
  });
  // Of a line that was cut short by the kill nobody knows what it acknowledged.
  const lines = () => output.split('\n').slice(0, -1);
  const ended = new Promise<Awaited<Program['ended']>>((resolve) =>
    child.on('close', (code) => resolve({ code, said: lines(), complaints })),
  );
  return { child, ended };
}

async function requireAllOnce(store: RecordStore<unknown>, said: readonly string[]): Promise<number> {
  const found: string[] = [];
  for await (const { id, hash } of store.entries({ laptop: store.laptop })) found.push(`${id} ${hash}`);
  expect(found.map((line) => line.split(' ')[0])).toEqual(found.map((_, at) => `${store.laptop}-${at + 1}`));
  const there = new Set(found);
  expect(there.size).toBe(found.length);
  expect(new Set(said).size).toBe(said.length);
  expect(said.filter((line) => !there.has(line))).toEqual([]);
  // Each may have been killed between its commit and what it says of it: two entries.
  expect(found.length - said.length).toBeLessThanOrEqual(2 * twenty.length);
  expect((await store.check()).findings).toEqual([]);
  expect((await store.rebuild()).differed).toEqual([]);
  return found.length;
}

test('twenty set one server up at the same time: one does it, the others find it done', async () => {
  await server.sql('postgres', 'CREATE DATABASE twenty');
  const script = await bundleForNode('postgres-set-up', folder);
  const programs = twenty.map(() => run(script, [server.adminUrl('twenty')], { PGPASSWORD: adminPassword }));
  const ends = await Promise.all(programs.map(({ ended }) => ended));
  expect(ends.map(({ complaints }) => complaints)).toEqual(twenty.map(() => ''));
  expect(ends.flatMap(({ said }) => said).sort()).toEqual(['changed', ...Array(19).fill('there')]);
  expect(await server.sql('twenty', 'SELECT version FROM slotproof.about')).toEqual([{ version: 1 }]);
});

test('twenty start at the same time on a folder without a record: one record, one laptop', async () => {
  const place = sqlitePlace();
  try {
    const ends = await Promise.all(twenty.map((name) => run(writer, [place.path, '1', name]).ended));
    expect(ends.map(({ code, complaints }) => (code === 0 ? '' : complaints))).toEqual(twenty.map(() => ''));
    expect(
      await requireAllOnce(
        place.open(),
        ends.flatMap(({ said }) => said),
      ),
    ).toBe(40);
  } finally {
    place.remove();
  }
});

async function logForAMinute(path: string, env: Record<string, string>): Promise<string[]> {
  const programs = twenty.map((name) => run(writer, [path, '0', name], env));
  await wait(60_000);
  for (const { child } of programs) child.kill('SIGKILL');
  const ends = await Promise.all(programs.map(({ ended }) => ended));
  // Who writes without a pause can keep another waiting past its time: that one is told, and nothing of it is there.
  const others = ends.filter(
    ({ complaints }) => complaints !== '' && !complaints.includes("code: 'record-busy'"),
  );
  expect(others).toEqual([]);
  expect(ends.filter(({ said }) => said.length === 0)).toEqual([]);
  return ends.flatMap(({ said }) => said);
}

test('twenty log for a minute on SQLite', async () => {
  const place = sqlitePlace();
  try {
    const said = await logForAMinute(place.path, {});
    const count = await requireAllOnce(place.open(), said);
    console.log(`SQLite: ${count} entries`);
  } finally {
    place.remove();
  }
});

test('twenty log for a minute on PostgreSQL', async () => {
  await makeTemplate(server);
  const place = await postgresPlace(server);
  try {
    const said = await logForAMinute(place.url('desk'), { PGPASSWORD: rolePassword });
    const count = await requireAllOnce(await place.open(), said);
    console.log(`PostgreSQL: ${count} entries`);
  } finally {
    await place.remove();
  }
});
