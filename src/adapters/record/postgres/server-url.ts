// The address of an office server as a person types it: postgresql://USER@HOST:PORT/DATABASE?sslmode=…, the rest from
// libpq's own variables. A password is never taken from it: a command line stands in the list of processes and in the
// shell's history. Opens nothing.

import { Failure } from '../../../words/failure.ts';

export type Environment = Readonly<Record<string, string | undefined>>;

export interface ServerAddress {
  readonly host: string;
  readonly port: number;
  readonly user: string | undefined;
  readonly database: string | undefined;
  /** sslmode, sslrootcert, sslcert, sslkey: from the URL, else from PGSSLMODE and so on. */
  readonly tls: Readonly<Record<TlsSetting, string | undefined>>;
  /** Fit to be shown and kept: there is no password in it. */
  readonly shown: string;
}

const tlsSettings = ['sslmode', 'sslrootcert', 'sslcert', 'sslkey'] as const;
export type TlsSetting = (typeof tlsSettings)[number];

const form = 'postgresql://USER@HOST/DATABASE';

export function requireServerAddress(text: string, env: Environment): ServerAddress {
  const url = requireUrl(text.trim());
  const settings = url.searchParams;
  if (url.password !== '' || settings.has('password') || settings.has('sslpassword')) throw passwordInUrl();
  for (const name of settings.keys()) {
    if (name === 'host' || name === 'port' || (tlsSettings as readonly string[]).includes(name)) continue;
    throw wrongUrl(`Nothing is known of the setting ${name} in the URL.`);
  }
  const host =
    settings.get('host') ?? (decoded(url.hostname.replace(/^\[|\]$/g, '')) || env.PGHOST || 'localhost');
  const port = Number(settings.get('port') ?? (url.port || env.PGPORT || 5432));
  if (!Number.isInteger(port) || port < 1 || port > 65_535) throw wrongUrl('The port in the URL is none.');
  const user = decoded(url.username) || env.PGUSER || env.USER || env.USERNAME;
  const database = decoded(url.pathname.replace(/^\//, '')) || env.PGDATABASE || user;
  const tls = Object.fromEntries(
    tlsSettings.map((name) => [name, settings.get(name) ?? env[`PG${name.toUpperCase()}`] ?? undefined]),
  ) as ServerAddress['tls'];
  const shownHost = host.includes(':') ? `[${host}]` : encodeURIComponent(host);
  const shown = `postgresql://${user === undefined ? '' : `${user}@`}${shownHost}:${port}/${database ?? ''}`;
  return { host, port, user, database, tls, shown };
}

function requireUrl(text: string): URL {
  if (!/^postgres(ql)?:\/\//i.test(text)) throw wrongUrl('This is no address of a PostgreSQL server.');
  // A socket's folder as host, percent-encoded, is libpq's way; `new URL` takes that of schemes that it does not know.
  try {
    return new URL(text);
  } catch {
    // Not shown: what cannot be read may hold a password.
    throw wrongUrl('The address of the server cannot be read.');
  }
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    throw wrongUrl('A percent sign in the address stands for nothing.');
  }
}

function wrongUrl(summary: string): Failure {
  return new Failure({
    code: 'server-url-form',
    exit: 2,
    summary,
    expected: `${form}, without a password`,
    next: `For example: ${form.toLowerCase()}?sslmode=verify-full; the password in PGPASSWORD or in ~/.pgpass`,
  });
}

function passwordInUrl(): Failure {
  return new Failure({
    code: 'password-in-url',
    exit: 2,
    summary:
      'A password stands in the URL. Others can read it there, in the list of processes and in the history.',
    expected: form,
    next: 'Take it out and change it on the server. Put the new one into PGPASSWORD, or into ~/.pgpass (PGPASSFILE).',
  });
}
