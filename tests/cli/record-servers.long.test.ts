// Servers of other shapes, at the command line: one that speaks TLS, with proofs that hold and proofs that do not; a read
// replica; and a record that an administrator has partitioned. None of them needs another slotproof.

import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { setUpText } from '../../src/adapters/record/postgres/migrate.ts';
import { queryTexts } from '../../src/adapters/record/postgres/query-texts.ts';
import { type OfficeLaptop, officeLaptop } from '../support/office-world.ts';
import { makeTemplate, type PostgresPlace, postgresPlace, rolePassword } from '../support/postgres-place.ts';
import { type PostgresServer, startPostgres } from '../support/postgres-server.ts';
import { runCli } from '../support/run-cli.ts';

let server: PostgresServer;
/** A made-up authority, the server's proof by it, and another authority that has nothing to do with either. */
function makeProofs(folder: string): string[] {
  const openssl = (...args: string[]) => {
    const { status, stderr } = spawnSync('openssl', args, { cwd: folder, encoding: 'utf8' });
    if (status !== 0) throw new Error(stderr);
  };
  for (const name of ['authority', 'stranger']) {
    openssl(
      'req',
      '-x509',
      '-newkey',
      'rsa:2048',
      '-nodes',
      '-days',
      '2',
      '-subj',
      `/CN=${name}`,
      '-keyout',
      `${name}.key`,
      '-out',
      `${name}.crt`,
    );
  }
  openssl(
    'req',
    '-newkey',
    'rsa:2048',
    '-nodes',
    '-subj',
    '/CN=localhost',
    '-addext',
    'subjectAltName=DNS:localhost',
    '-keyout',
    'server.key',
    '-out',
    'server.csr',
  );
  openssl(
    'x509',
    '-req',
    '-in',
    'server.csr',
    '-CA',
    'authority.crt',
    '-CAkey',
    'authority.key',
    '-CAcreateserial',
    '-days',
    '2',
    '-copy_extensions',
    'copy',
    '-out',
    'server.crt',
  );
  return [
    'ssl=on',
    `ssl_cert_file=${join(folder, 'server.crt')}`,
    `ssl_key_file=${join(folder, 'server.key')}`,
  ];
}

beforeAll(async () => {
  server = await startPostgres(makeProofs);
  await makeTemplate(server);
});
afterAll(() => server?.remove());

let place: PostgresPlace;
let laptop: OfficeLaptop;
beforeEach(async () => {
  place = await postgresPlace(server);
  laptop = await officeLaptop(server, place, 'quill');
  await laptop.write(60);
});
afterEach(async () => {
  laptop?.workspace.remove();
  await place?.remove();
});

test('TLS as the address or the environment asks for it; a server that proves nothing is refused', async () => {
  const at = (host: string, more: string) =>
    `postgresql://quill@${host}:${server.port}/${place.database}${more}`;
  const [authority, stranger] = ['authority', 'stranger'].map((name) => join(server.folder, `${name}.crt`));
  const cases: [url: string, outcome: 'tls' | 'plain' | string][] = [
    [at('localhost', ''), 'plain'],
    [at('localhost', '?sslmode=disable'), 'plain'],
    [at('localhost', '?sslmode=prefer'), 'tls'],
    [at('localhost', '?sslmode=require'), 'tls'],
    [at('localhost', `?sslmode=require&sslrootcert=${stranger}`), 'server-not-trusted'],
    [at('localhost', `?sslmode=verify-ca&sslrootcert=${authority}`), 'tls'],
    [at('127.0.0.1', `?sslmode=verify-ca&sslrootcert=${authority}`), 'tls'],
    [at('localhost', `?sslmode=verify-full&sslrootcert=${authority}`), 'tls'],
    [at('127.0.0.1', `?sslmode=verify-full&sslrootcert=${authority}`), 'server-not-trusted'],
    [at('localhost', `?sslmode=verify-full&sslrootcert=${stranger}`), 'server-not-trusted'],
    [at('localhost', '?sslmode=verify-full'), 'server-not-trusted'],
    [at('localhost', '?sslmode=verify-full&sslrootcert=/nowhere'), 'file-absent'],
  ];
  // The server itself says which of its connections are under TLS.
  await server.sql(
    place.database,
    `CREATE TABLE seen (tls boolean); GRANT INSERT ON seen TO PUBLIC;
     CREATE FUNCTION note() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER AS $$ BEGIN
       INSERT INTO public.seen SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid(); RETURN NULL; END $$;
     CREATE TRIGGER note AFTER INSERT ON slotproof.marks FOR EACH STATEMENT EXECUTE FUNCTION note()`,
  );
  for (const [url, outcome] of cases) {
    await laptop.write(1);
    await server.sql(place.database, 'DELETE FROM seen');
    const { exit, json } = await laptop.sync(url);
    if (outcome === 'tls' || outcome === 'plain') {
      expect(exit, `${url} ${JSON.stringify(json)}`).toBe(0);
      expect(await server.sql(place.database, 'SELECT DISTINCT tls FROM seen'), url).toEqual([
        { tls: outcome === 'tls' },
      ]);
    } else {
      expect([exit, json.error?.code], url).toEqual([outcome === 'file-absent' ? 2 : 7, outcome]);
    }
  }
  const fromEnvironment = (env: Record<string, string>) =>
    runCli(['record', 'sync', 'postgresql:///', '--json'], {
      workspace: laptop.workspace.path,
      env: {
        PGPASSWORD: rolePassword,
        PGHOST: 'localhost',
        PGPORT: String(server.port),
        PGUSER: 'quill',
        PGDATABASE: place.database,
        ...env,
      },
    });
  expect(await fromEnvironment({ PGSSLMODE: 'verify-full', PGSSLROOTCERT: authority! })).toMatchObject({
    exit: 0,
  });
  expect(await fromEnvironment({ PGSSLMODE: 'verify-full', PGSSLROOTCERT: stranger! })).toMatchObject({
    exit: 7,
  });
});

test('a read replica answers every question, and refuses to take entries', async () => {
  await laptop.sync(place.url('quill'));
  const replica = await server.replica();
  try {
    const url = (role: string) => place.url(role).replace(`:${server.port}/`, `:${replica.port}/`);
    const { json: here } = await laptop.cli('audit');
    for (const role of ['office', 'looker']) {
      const there = await untilUp(() => laptop.cli('audit', '--record', url(role)));
      expect(there, role).toMatchObject({ exit: 0, json: { counts: here.counts, units: here.units } });
      expect(await laptop.cli('record', 'check', '--record', url(role))).toMatchObject({
        exit: 0,
        json: { verdict: 'intact', entries: 60, units: 40 },
      });
    }
    await laptop.write(5);
    expect(await laptop.sync(url('quill'))).toMatchObject({
      exit: 7,
      json: { error: { code: 'record-read-only' } },
    });
    expect(await laptop.sync(place.url('quill'))).toMatchObject({ exit: 0, json: { sent: 5 } });
  } finally {
    await replica.stop();
  }
});

async function untilUp<T extends { exit: number }>(ask: () => Promise<T>): Promise<T> {
  for (let tries = 0; ; tries++) {
    const told = await ask();
    if (told.exit !== 7 || tries === 200) return told;
    await wait(100);
  }
}

test('a record whose entries are partitioned by laptop', async () => {
  const text = setUpText().replace(
    'PRIMARY KEY (laptop, seq)\n  );',
    `PRIMARY KEY (laptop, seq)\n  ) PARTITION BY HASH (laptop);
     ${[0, 1, 2].map((rest) => `CREATE TABLE slotproof.entries_${rest} PARTITION OF slotproof.entries FOR VALUES WITH (MODULUS 3, REMAINDER ${rest});`).join('')}`,
  );
  expect(text).toContain('PARTITION BY HASH');
  await server.sql(place.database, 'DROP SCHEMA slotproof CASCADE');
  await server.sql(place.database, text);
  await server.sql(place.database, `SELECT slotproof.admit('quill', '${laptop.id}')`);
  expect(await laptop.sync(place.url('quill'))).toMatchObject({ exit: 0, json: { sent: 60, findings: [] } });
  await laptop.write(30);
  expect(await laptop.sync(place.url('quill'))).toMatchObject({ exit: 0, json: { sent: 30, findings: [] } });
  expect(await laptop.cli('record', 'check', '--record', place.url('office'))).toMatchObject({
    exit: 0,
    json: { verdict: 'intact', entries: 90, units: 40 },
  });
  for (const change of [
    'DELETE FROM slotproof.entries',
    'UPDATE slotproof.entries_0 SET seq = 1',
    'UPDATE slotproof.entries_1 SET seq = 1',
    'UPDATE slotproof.entries_2 SET seq = 1',
  ]) {
    await server.sql(place.database, change).catch((error) => expect(error.code, change).toBe('SP002'));
  }
  expect((await server.sql(place.database, 'SELECT count(*)::int AS n FROM slotproof.entries'))[0].n).toBe(
    90,
  );
});

test('one unit, one laptop, one kind are found by an index; nothing scans the entries', async () => {
  await laptop.write(4000);
  await laptop.sync(place.url('quill'));
  await server.sql(place.database, 'ANALYZE slotproof.entries');
  const plan = async (name: keyof typeof queryTexts, values: readonly (string | number)[]) => {
    let text = queryTexts[name].sql;
    for (let at = values.length; at > 0; at--) {
      const value = values[at - 1];
      text = text.replaceAll(`$${at}`, typeof value === 'number' ? String(value) : `'${value}'`);
    }
    const rows = await server.sql(place.database, `EXPLAIN ${text}`);
    return rows.map((row) => row['QUERY PLAN']).join('\n');
  };
  const asked = [
    await plan('entryAt', [laptop.id, 7]),
    await plan('chainPage', [laptop.id, 7, 9e15]),
    await plan('chainLast', [laptop.id]),
    await plan('serialPage', ['S7', 9e15, -9e15, -9e15, '', 0]),
    await plan('kindPage', ['note', 9e15, -9e15, -9e15, '', 0]),
    await plan('entriesOfUnits', ['{S7}']),
    await plan('laptops', []),
  ];
  for (const one of asked) expect(one).not.toMatch(/Seq Scan on entries/);
  for (const one of asked) expect(one).toMatch(/Index|Bitmap/);
  // The judge sees a scan where there is one.
  const scan = await server.sql(place.database, "EXPLAIN SELECT * FROM slotproof.entries WHERE text = 'x'");
  expect(scan.map((row) => row['QUERY PLAN']).join()).toContain('Seq Scan on entries');
});
