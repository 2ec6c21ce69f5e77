// A throw-away PostgreSQL: made in a temporary folder as the user `postgres` (a server refuses root), on loopback and a
// socket of its own, stopped by its process id. Installs Debian's package where it may; a missing server never becomes a
// skipped test.

import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import {
  chownSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import pg from 'pg';

const root = '/usr/lib/postgresql';
export const adminPassword = 'only-in-this-test';

export interface PostgresServer {
  readonly port: number;
  readonly folder: string;
  /** As the administrator, in any database; rows of the last statement. */
  sql(database: string, text: string): Promise<any[]>;
  adminUrl(database: string): string;
  /** Pulls the plug: no server process survives, nothing is tidied up. */
  kill(): Promise<void>;
  stop(): Promise<void>;
  start(): Promise<void>;
  /** While it is stopped: keeps the data as they are, or puts back what was kept. */
  keep(name: string): void;
  restore(name: string): void;
  /** Another server that follows this one and only answers questions. */
  replica(): Promise<Replica>;
  /** Stops it and removes everything. */
  remove(): Promise<void>;
}

export interface Replica {
  readonly port: number;
  stop(): Promise<void>;
}

function newestBin(): string | undefined {
  if (!existsSync(root)) return undefined;
  const versions = readdirSync(root).filter((name) => existsSync(join(root, name, 'bin', 'initdb')));
  const newest = versions.sort((a, b) => Number(b) - Number(a))[0];
  return newest === undefined ? undefined : join(root, newest, 'bin');
}

function requireBin(): string {
  const here = newestBin();
  if (here !== undefined) return here;
  if (process.getuid?.() === 0) {
    console.error('installing what the tests judge with: postgresql');
    // Debian's package would start a server of its own: not wanted.
    mkdirSync('/etc/postgresql-common/createcluster.d', { recursive: true });
    writeFileSync('/etc/postgresql-common/createcluster.d/none.conf', 'create_main_cluster = false\n');
    spawnSync('sh', ['-c', 'apt-get update -q && apt-get install -y -q postgresql'], { stdio: 'ignore' });
  }
  const installed = newestBin();
  if (installed !== undefined) return installed;
  throw new Error('The tests need this Debian package: postgresql. Install it with apt-get and run again.');
}

/** Who runs the server: the user postgres where we are root. */
function serverUser(): { uid: number; gid: number } | Record<string, never> {
  if (process.getuid?.() !== 0) return {};
  const id = (flag: string) => Number(spawnSync('id', [flag, 'postgres'], { encoding: 'utf8' }).stdout);
  return { uid: id('-u'), gid: id('-g') };
}

async function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.on('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address();
      probe.close(() => resolve(typeof address === 'object' && address !== null ? address.port : 0));
    });
  });
}

/** `settings`: further ones of its own (`name=value`), with TLS files in its folder, say. */
export async function startPostgres(
  prepare?: (folder: string) => readonly string[],
): Promise<PostgresServer> {
  const bin = requireBin();
  const user = serverUser();
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-postgres-'));
  if ('uid' in user) chownSync(folder, user.uid as number, user.gid as number);
  const data = join(folder, 'data');
  const passwordFile = join(folder, 'password');
  writeFileSync(passwordFile, adminPassword, { mode: 0o600 });
  if ('uid' in user) chownSync(passwordFile, user.uid as number, user.gid as number);
  const made = spawnSync(
    join(bin, 'initdb'),
    [
      '-D',
      data,
      '-U',
      'admin',
      '-A',
      'scram-sha-256',
      `--pwfile=${passwordFile}`,
      '-E',
      'UTF8',
      '--locale=C.UTF-8',
      '--no-sync',
    ],
    { ...user, encoding: 'utf8', cwd: folder },
  );
  if (made.status !== 0) throw new Error(`initdb: ${made.stderr}`);
  const settings = (prepare?.(folder) ?? []).flatMap((one) => ['-c', one]);
  if ('uid' in user) spawnSync('chown', ['-R', `${user.uid}:${user.gid}`, folder]);
  const port = await freePort();
  let child: ChildProcess | undefined;
  let complaints = '';

  async function start(): Promise<void> {
    const until = Date.now() + 30_000;
    for (;;) {
      complaints = '';
      const started = spawn(
        join(bin, 'postgres'),
        // Not flushed: the machine itself does not lose power in these tests.
        [
          '-D',
          data,
          '-p',
          String(port),
          '-h',
          '127.0.0.1',
          '-k',
          folder,
          '-F',
          '-c',
          'max_connections=120',
          ...settings,
        ],
        { ...user, cwd: folder, stdio: ['ignore', 'ignore', 'pipe'] },
      );
      child = started;
      started.stderr?.setEncoding('utf8').on('data', (text: string) => {
        complaints += text;
      });
      for (;;) {
        if (started.exitCode !== null || started.signalCode !== null) break;
        try {
          await sql('postgres', 'SELECT 1');
          return;
        } catch {
          if (Date.now() > until) throw new Error(`the server does not come up: ${complaints}`);
          await wait(30);
        }
      }
      // After a kill the old processes may take a moment to be gone.
      if (Date.now() > until) throw new Error(`the server ended: ${complaints}`);
      await wait(100);
    }
  }

  async function end(signal: NodeJS.Signals): Promise<void> {
    const running = child;
    child = undefined;
    if (running === undefined || running.exitCode !== null || running.signalCode !== null) return;
    const ended = new Promise((resolve) => running.once('exit', resolve));
    running.kill(signal);
    await ended;
  }

  async function sql(database: string, text: string): Promise<any[]> {
    const client = new pg.Client({
      host: '127.0.0.1',
      port,
      user: 'admin',
      database,
      password: async () => adminPassword,
    });
    client.on('error', () => {});
    await client.connect();
    try {
      const result: any = await client.query(text);
      return (Array.isArray(result) ? result.at(-1) : result).rows;
    } finally {
      await client.end();
    }
  }

  const lastResort = () => void child?.kill('SIGQUIT');
  process.once('exit', lastResort);
  await start();
  return {
    port,
    folder,
    sql,
    adminUrl: (database) => `postgresql://admin@127.0.0.1:${port}/${database}`,
    start,
    stop: () => end('SIGINT'),
    kill: () => end('SIGKILL'),
    keep: (name) => cpSync(data, join(folder, name), { recursive: true, preserveTimestamps: true }),
    restore(name) {
      rmSync(data, { recursive: true });
      const copied = spawnSync('cp', ['-a', join(folder, name), data]);
      if (copied.status !== 0) throw new Error(String(copied.stderr));
      if ('uid' in user) spawnSync('chown', ['-R', `${user.uid}:${user.gid}`, data]);
    },
    async replica() {
      const copy = join(folder, 'replica');
      const args = [
        '-D',
        copy,
        '-R',
        '-X',
        'stream',
        '-c',
        'fast',
        '-h',
        '127.0.0.1',
        '-p',
        String(port),
        '-U',
        'admin',
      ];
      const env = { ...process.env, PGPASSWORD: adminPassword };
      const copied = spawnSync(join(bin, 'pg_basebackup'), args, {
        ...user,
        cwd: folder,
        env,
        encoding: 'utf8',
      });
      if (copied.status !== 0) throw new Error(`pg_basebackup: ${copied.stderr}`);
      const replicaPort = await freePort();
      const follower = spawn(
        join(bin, 'postgres'),
        [
          '-D',
          copy,
          '-p',
          String(replicaPort),
          '-h',
          '127.0.0.1',
          '-k',
          folder,
          '-F',
          '-c',
          'max_connections=120',
        ],
        { ...user, cwd: folder, stdio: 'ignore' },
      );
      const ended = new Promise((resolve) => follower.once('exit', resolve));
      return {
        port: replicaPort,
        async stop() {
          follower.kill('SIGINT');
          await ended;
        },
      };
    },
    async remove() {
      await end('SIGINT');
      process.off('exit', lastResort);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
