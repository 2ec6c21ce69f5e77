// Turns what PostgreSQL, the network and TLS say into the tool's own words: exit 7, where (never with a password), one
// next step. What is not known here is left as it is: a bug.

import { Failure, type FailureFacts } from '../../../words/failure.ts';

type Telling = Pick<FailureFacts, 'code' | 'summary' | 'next'>;

const again = 'Nothing is lost: run the same again.';
const unreachable: Telling = {
  code: 'server-unreachable',
  summary: 'The server cannot be reached.',
  next: `Check the network, the address and the port. ${again}`,
};
export const connectionLost: Telling = {
  code: 'server-connection-lost',
  summary: 'The connection to the server was lost.',
  next: `What had been acknowledged is there. ${again}`,
};
const signIn: Telling = {
  code: 'server-sign-in-refused',
  summary: 'The server does not let this user in.',
  next: 'Check the user in the URL, and the password in PGPASSWORD or the file that PGPASSFILE names.',
};
const full: Telling = {
  code: 'record-disk-full',
  summary: "The server's drive is full: nothing was written.",
  next: 'Let its administrator make room, then run the same again.',
};
const busy: Telling = {
  code: 'record-busy',
  summary: 'The server was too busy, and did not become free.',
  next: `Wait a little. ${again}`,
};
const damaged: Telling = {
  code: 'record-damaged',
  summary: 'The record on the server is damaged.',
  next: 'Change nothing on the server, and call its administrator.',
};
const untrusted: Telling = {
  code: 'server-not-trusted',
  summary: 'The server does not prove that it is the one in the URL.',
  next: 'Name its certificate authority (?sslrootcert=FILE, or PGSSLROOTCERT). Do not go on without, on a foreign network.',
};
const noTls: Telling = {
  code: 'server-without-tls',
  summary: 'The server speaks no TLS, so others could read along.',
  next: 'Let its administrator switch TLS on; where the network is your own: ?sslmode=disable',
};
const cannotHold: Telling = {
  code: 'server-entry-refused',
  summary:
    'The server cannot hold an entry: its serial or kind is too long, or holds a character of no text.',
  next: 'Nothing was changed. Call the service lead: who wrote this entry, and with what?',
};
const notSetUpTelling: Telling = {
  code: 'server-not-set-up',
  summary: 'There is no record of slotproof in this database, or this user may not see it.',
  next: 'Let the administrator of the server run: slotproof record sync URL --set-up',
};

/** SQLSTATE, whole or its first two characters (class). */
const bySqlState: Readonly<Record<string, Telling>> = {
  '08': connectionLost,
  '28': signIn,
  '40': busy,
  '53': busy,
  '53100': full,
  '53200': busy,
  '53300': busy,
  '55P03': busy,
  '57014': busy,
  '57P01': connectionLost,
  '57P02': connectionLost,
  '57P03': {
    code: 'server-unreachable',
    summary: 'The server is starting or stopping.',
    next: `Wait a little. ${again}`,
  },
  '58': damaged,
  XX001: damaged,
  XX002: damaged,
  // A character or a length that an index or a text cannot hold: no serial of any maker has either.
  '22021': cannotHold,
  '54000': cannotHold,
  '25P03': connectionLost,
  '25006': {
    code: 'record-read-only',
    summary:
      'This server only takes questions: nothing can be written there (a read replica, or being maintained).',
    next: 'Use the address of the server that takes entries.',
  },
  '3D000': {
    code: 'server-database-absent',
    summary: 'There is no such database on the server.',
    next: 'Check the name at the end of the URL.',
  },
  '3F000': notSetUpTelling,
  '42P01': notSetUpTelling,
  '42883': notSetUpTelling,
  '42501': {
    code: 'server-right-missing',
    summary: 'This user may not do that on the server.',
    next: 'Use the user that this is for (see slotproof record sync --help), or ask the administrator of the server.',
  },
  '23514': cannotHold,
  SP001: {
    code: 'server-entry-refused',
    summary: 'The server refused an entry: it is not the next of its chain there, or not what its text says.',
    next: 'Run slotproof record check here and with --record URL, and call the service lead.',
  },
  SP002: {
    code: 'server-entry-refused',
    summary: 'The server refused to change an entry.',
    next: 'Entries are never changed: log a correction.',
  },
};

const byNodeCode: Readonly<Record<string, Telling>> = {
  ECONNREFUSED: unreachable,
  ENOTFOUND: unreachable,
  EAI_AGAIN: unreachable,
  EHOSTUNREACH: unreachable,
  ENETUNREACH: unreachable,
  ETIMEDOUT: unreachable,
  ENOENT: unreachable,
  EACCES: unreachable,
  ECONNRESET: connectionLost,
  EPIPE: connectionLost,
};

const byMessage: readonly [RegExp, Telling][] = [
  [/password must be a string|password must be a non-empty|no password/i, signIn],
  [/does not support SSL/i, noTls],
  [/Connection terminated due to connection timeout|timeout expired/i, unreachable],
  [
    /Connection terminated|Query read timeout|Client has encountered a connection error|not queryable|Connection ended|Client was closed/i,
    connectionLost,
  ],
];

export function notSetUp(where: string): Failure {
  return new Failure({ ...notSetUpTelling, exit: 7, where });
}

export function serverTooOld(where: string, version: number): Failure {
  return new Failure({
    code: 'server-too-old',
    exit: 7,
    summary: 'The server is too old for the record.',
    seen: `PostgreSQL ${Math.floor(version / 10_000)}`,
    expected: 'PostgreSQL 13 or newer',
    where,
    next: 'Let its administrator bring it up to date.',
  });
}

export function serverDamaged(where: string, seen: string): Failure {
  return new Failure({ ...damaged, exit: 7, seen, where });
}

/** A Failure for what PostgreSQL, the network or TLS say; anything else passes through. */
export function postgresFailure(error: unknown, where: string): unknown {
  if (error instanceof Failure || !(error instanceof Error)) return error;
  const telling = tellingOf(error);
  if (telling === undefined) return error;
  const code = codeOf(error);
  const seen = code === undefined ? error.message : `${code}: ${error.message}`;
  return new Failure({ ...telling, exit: 7, seen, where }, error);
}

const codeOf = (error: Error) => {
  const { code } = error as { code?: unknown };
  return typeof code === 'string' ? code : undefined;
};

function tellingOf(error: Error): Telling | undefined {
  if (error instanceof AggregateError) return error.errors.length > 0 ? unreachable : undefined;
  const code = codeOf(error);
  if (code !== undefined) {
    const known = bySqlState[code] ?? byNodeCode[code];
    if (known !== undefined) return known;
    if (/^(CERT_|ERR_TLS_|DEPTH_ZERO|SELF_SIGNED|UNABLE_TO_|HOSTNAME_MISMATCH)/.test(code)) return untrusted;
    if (/^ERR_(SSL|OSSL)/.test(code)) return noTls;
    if (/^[0-9A-Z]{5}$/.test(code) && 'severity' in error) return bySqlState[code.slice(0, 2)];
  }
  return byMessage.find(([form]) => form.test(error.message))?.[1];
}

/** How often a transaction is worth beginning where it ends so: another one may have been in its way. */
export function mostAttempts(error: unknown): number {
  switch (error instanceof Error ? codeOf(error) : undefined) {
    case '40001':
    case '40P01':
      return 12;
    // Two began one chain at the same moment: the second finds it begun.
    case '23505':
    case 'SP001':
      return 3;
    default:
      return 1;
  }
}
