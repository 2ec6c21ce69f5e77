// One connection to the server: signing in, queries by the names of `query-texts.ts`, transactions. One thing at a time,
// in the order in which it was asked for. Whatever the server says comes out as a Failure where it is known.

import { readFileSync } from 'node:fs';
import pg from 'pg';
import { Failure } from '../../../words/failure.ts';
import { passwordFor } from './password-file.ts';
import { mostAttempts, postgresFailure } from './postgres-failure.ts';
import { type QueryRows, queryTexts } from './query-texts.ts';
import type { Environment, ServerAddress } from './server-url.ts';
import { tlsChoice } from './tls-settings.ts';

type Value = string | number | boolean | null | readonly (string | number | null)[];
export type QueryValues = Readonly<Record<string, Value>>;

export interface Queries {
  /** By the names that the query's definition gives its values. */
  all<Name extends keyof QueryRows>(name: Name, values?: QueryValues): Promise<QueryRows[Name][]>;
  get<Name extends keyof QueryRows>(name: Name, values?: QueryValues): Promise<QueryRows[Name] | undefined>;
}

const signInMs = 15_000;
/** Longer than any one query should take: beyond it the server or the network has gone without a word. */
const answerMs = 300_000;

/**
 * What is asked of the server for this connection. One that stops in the middle of a transaction (a laptop that is shut,
 * a network that swallows) holds its chain for little more than half a minute, by the server's clock or by probes that
 * nobody answers, and whoever waits for it waits longer than that.
 */
const manners = `SET idle_in_transaction_session_timeout = '30s'; SET lock_timeout = '60s';
  SET tcp_keepalives_idle = 20; SET tcp_keepalives_interval = 5; SET tcp_keepalives_count = 4`;

const bigint = 20;
/** Times and places in chains: all of them whole numbers that JavaScript holds. */
const types: pg.CustomTypesConfig = {
  getTypeParser: ((oid: number, format?: 'text' | 'binary') =>
    oid === bigint
      ? Number
      : pg.types.getTypeParser(oid, format as 'text')) as pg.CustomTypesConfig['getTypeParser'],
};

/** Signed in, and to be ended by the caller. */
export async function signIn(address: ServerAddress, env: Environment): Promise<pg.Client> {
  const choice = tlsChoice(address, (path) => readAuthority(path));
  try {
    return await attempt(address, env, choice.ssl);
  } catch (error) {
    if (choice.mayDoWithout && choice.ssl !== false && /does not support SSL/i.test(String(error))) {
      return await attempt(address, env, false).catch((second) => {
        throw postgresFailure(second, address.shown);
      });
    }
    throw postgresFailure(error, address.shown);
  }
}

async function attempt(
  address: ServerAddress,
  env: Environment,
  ssl: pg.ClientConfig['ssl'],
): Promise<pg.Client> {
  const { host, port, user, database } = address;
  const client = new pg.Client({
    host,
    port,
    ...(user === undefined ? {} : { user }),
    ...(database === undefined ? {} : { database }),
    // A function, so that nothing is looked for elsewhere.
    password: () => passwordFor(address, env) ?? '',
    ssl: ssl ?? false,
    types,
    application_name: 'slotproof',
    keepAlive: true,
    keepAliveInitialDelayMillis: 10_000,
    connectionTimeoutMillis: signInMs,
    query_timeout: answerMs,
  });
  // A connection that is lost while nobody waits for an answer: the next query says so.
  client.on('error', () => {});
  try {
    await client.connect();
    await client.query(manners);
    return client;
  } catch (error) {
    await client.end().catch(() => {});
    throw error;
  }
}

function readAuthority(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw new Failure(
      {
        code: 'file-absent',
        exit: 2,
        summary: 'A file that the address of the server names cannot be read.',
        seen: String((error as NodeJS.ErrnoException).code),
        where: path,
        next: 'Check sslrootcert, sslcert and sslkey in the URL, or PGSSLROOTCERT and so on.',
      },
      error,
    );
  }
}

export class Connection {
  readonly #client: pg.Client;
  readonly #where: string;
  #last: Promise<unknown> = Promise.resolve();

  constructor(client: pg.Client, where: string) {
    this.#client = client;
    this.#where = where;
  }

  /** One question outside of any transaction. */
  all<Name extends keyof QueryRows>(name: Name, values: QueryValues = {}): Promise<QueryRows[Name][]> {
    return this.#alone(() => this.#run(name, values));
  }

  async get<Name extends keyof QueryRows>(
    name: Name,
    values: QueryValues = {},
  ): Promise<QueryRows[Name] | undefined> {
    return (await this.all(name, values))[0];
  }

  /** Any text; for what is not of the record's tables. */
  sql<Row>(text: string, values: readonly Value[] = []): Promise<Row[]> {
    return this.#alone(async () => (await this.#client.query(text, [...values])).rows as Row[]);
  }

  /** Whole or not at all, and once more from its beginning where another transaction was in its way. */
  transaction<T>(work: (queries: Queries) => Promise<T>): Promise<T> {
    return this.#alone(async () => {
      for (let attempt = 1; ; attempt++) {
        try {
          return await this.#once('BEGIN', work);
        } catch (error) {
          if (attempt >= mostAttempts(error)) throw error;
          await new Promise((resolve) => setTimeout(resolve, 5 * attempt * attempt));
        }
      }
    });
  }

  /** Everything as it stood at one moment, whatever others write meanwhile. */
  snapshot<T>(work: (queries: Queries) => Promise<T>): Promise<T> {
    return this.#alone(() => this.#once('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY', work));
  }

  async #once<T>(begin: string, work: (queries: Queries) => Promise<T>): Promise<T> {
    const queries: Queries = {
      all: (name, values = {}) => this.#run(name, values),
      get: async (name, values = {}) => (await this.#run(name, values))[0],
    };
    await this.#client.query(begin);
    try {
      const result = await work(queries);
      await this.#client.query('COMMIT');
      return result;
    } catch (error) {
      await this.#client.query('ROLLBACK').catch(() => {});
      throw error;
    }
  }

  async #run<Name extends keyof QueryRows>(name: Name, values: QueryValues): Promise<QueryRows[Name][]> {
    const { sql, names } = queryTexts[name];
    const list = names.map((value) => {
      const given = values[value];
      if (given === undefined) throw new TypeError(`${name} lacks ${value}`);
      return given;
    });
    return (await this.#client.query(sql, list)).rows as QueryRows[Name][];
  }

  #alone<T>(work: () => Promise<T>): Promise<T> {
    const mine = this.#last.then(work, work).catch((error: unknown) => {
      throw postgresFailure(error, this.#where);
    });
    this.#last = mine.catch(() => {});
    return mine;
  }

  close(): void {
    void this.#client.end().catch(() => {});
  }
}
