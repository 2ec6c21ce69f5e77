// libpq's own password file: a line HOST:PORT:DATABASE:USER:PASSWORD each, `*` for any, the first that fits. Others than
// its user must not be able to read it, else it does not count.

import { readFileSync, statSync } from 'node:fs';
import { homedir, platform } from 'node:os';
import { join } from 'node:path';
import type { Environment, ServerAddress } from './server-url.ts';

const maxBytes = 1_000_000;

/** The password, where libpq would find one; never shown. */
export function passwordFor(address: ServerAddress, env: Environment): string | undefined {
  if (env.PGPASSWORD !== undefined && env.PGPASSWORD !== '') return env.PGPASSWORD;
  const usual =
    platform() === 'win32'
      ? join(env.APPDATA ?? homedir(), 'postgresql', 'pgpass.conf')
      : join(env.HOME ?? homedir(), '.pgpass');
  const text = readPrivate(env.PGPASSFILE ?? usual);
  return text === undefined ? undefined : passwordIn(text, address);
}

function readPrivate(path: string): string | undefined {
  try {
    const facts = statSync(path);
    if (!facts.isFile() || facts.size > maxBytes) return undefined;
    if (platform() !== 'win32' && (facts.mode & 0o077) !== 0) return undefined;
    return readFileSync(path, 'utf8');
  } catch {
    return undefined;
  }
}

export function passwordIn(text: string, { host, port, database, user }: ServerAddress): string | undefined {
  // A socket's folder goes by the name of this computer.
  const wanted = [host.startsWith('/') ? 'localhost' : host, String(port), database ?? '', user ?? ''];
  for (const line of text.split(/\r?\n/)) {
    if (line.startsWith('#')) continue;
    const parts = /^((?:\\.|[^:\\])*):((?:\\.|[^:\\])*):((?:\\.|[^:\\])*):((?:\\.|[^:\\])*):(.+)$/.exec(line);
    if (parts === null) continue;
    const [, ...fields] = parts.map((field) => field.replace(/\\(.)/g, '$1'));
    const password = fields[4];
    if (wanted.every((part, at) => fields[at] === '*' || fields[at] === part)) return password;
  }
  return undefined;
}
