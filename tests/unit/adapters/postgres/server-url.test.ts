// The address of a server, its TLS and its password, as typed, from libpq's variables and from its password file.

import { describe, expect, test } from 'vitest';
import { passwordIn } from '../../../../src/adapters/record/postgres/password-file.ts';
import { mostAttempts, postgresFailure } from '../../../../src/adapters/record/postgres/postgres-failure.ts';
import { requireServerAddress } from '../../../../src/adapters/record/postgres/server-url.ts';
import { tlsChoice } from '../../../../src/adapters/record/postgres/tls-settings.ts';
import { Failure } from '../../../../src/words/failure.ts';
import { failureOf } from '../../../support/failure-of.ts';

describe('an address', () => {
  const env = { USER: 'quill' };
  test.each([
    ['postgresql://tansy@office.example:6543/crew', 'office.example', 6543, 'tansy', 'crew'],
    ['postgres://office.example', 'office.example', 5432, 'quill', 'quill'],
    ['  POSTGRESQL://office.example/crew ', 'office.example', 5432, 'quill', 'crew'],
    ['postgresql://tansy@[::1]:5433/crew', '::1', 5433, 'tansy', 'crew'],
    ['postgresql://%2Frun%2Fpostgresql/crew', '/run/postgresql', 5432, 'quill', 'crew'],
    ['postgresql:///crew?host=/run/postgresql&port=99', '/run/postgresql', 99, 'quill', 'crew'],
    ['postgresql:///crew', 'localhost', 5432, 'quill', 'crew'],
    ['postgresql://R%2E%20Quill@h/a%2Fb', 'h', 5432, 'R. Quill', 'a/b'],
  ])('%s', (url, host, port, user, database) => {
    expect(requireServerAddress(url, env)).toMatchObject({ host, port, user, database });
  });

  test('what it leaves out comes from the variables, and never the other way round', () => {
    const given = {
      PGHOST: 'h',
      PGPORT: '7',
      PGUSER: 'u',
      PGDATABASE: 'd',
      PGSSLMODE: 'require',
      PGSSLROOTCERT: '/ca',
    };
    expect(requireServerAddress('postgresql://', given)).toMatchObject({
      host: 'h',
      port: 7,
      user: 'u',
      database: 'd',
      tls: { sslmode: 'require', sslrootcert: '/ca' },
      shown: 'postgresql://u@h:7/d',
    });
    expect(requireServerAddress('postgresql://a@b:1/c?sslmode=disable', given)).toMatchObject({
      shown: 'postgresql://a@b:1/c',
      tls: { sslmode: 'disable' },
    });
  });

  test.each([
    ['postgresql://quill:secret@h/d', 'password-in-url'],
    ['postgresql://:secret@h/d', 'password-in-url'],
    ['postgresql://h/d?password=secret', 'password-in-url'],
    ['postgresql://h/d?sslpassword=secret', 'password-in-url'],
    ['postgresql://quill:secret@h:port/d', 'server-url-form'],
    ['postgresql://quill:secret@h:0/d%', 'password-in-url'],
    ['postgresql://h:99999/secret', 'server-url-form'],
    ['postgresql://h/d?options=secret', 'server-url-form'],
    ['postgresql://h/secret%', 'server-url-form'],
    ['https://quill:secret@h/d', 'server-url-form'],
    ['host=h password=secret', 'server-url-form'],
    ['secret', 'server-url-form'],
    ['', 'server-url-form'],
  ])('refused, without showing it: %s', (url, code) => {
    const facts = failureOf(() => requireServerAddress(url, {}));
    expect(facts).toMatchObject({ code, exit: 2 });
    expect(JSON.stringify(facts)).not.toContain('secret');
  });
});

describe('TLS', () => {
  const choice = (url: string) => tlsChoice(requireServerAddress(url, {}), (path) => `read ${path}`);
  test('none on this computer itself, the whole proof elsewhere, where nothing is asked for', () => {
    for (const host of ['localhost', '127.0.0.1', '127.9.9.9', '[::1]', '%2Frun']) {
      expect(choice(`postgresql://${host}/d`).ssl, host).toBe(false);
    }
    for (const host of ['office.example', '10.0.0.7', '128.0.0.1', 'localhost.example', '[fe80::1]']) {
      expect(choice(`postgresql://${host}/d`), host).toEqual({
        ssl: { rejectUnauthorized: true },
        mayDoWithout: false,
      });
    }
  });
  test('as libpq means it', () => {
    const of = (more: string) => choice(`postgresql://office.example/d?sslmode=${more}`);
    expect(of('disable').ssl).toBe(false);
    expect(of('prefer')).toMatchObject({ ssl: { rejectUnauthorized: false }, mayDoWithout: true });
    expect(of('require')).toMatchObject({ ssl: { rejectUnauthorized: false }, mayDoWithout: false });
    expect(of('require&sslrootcert=/ca').ssl).toMatchObject({ rejectUnauthorized: true, ca: 'read /ca' });
    expect(of('verify-ca&sslrootcert=/ca').ssl).toHaveProperty('checkServerIdentity');
    expect(of('verify-full&sslrootcert=/ca&sslcert=/c&sslkey=/k').ssl).toEqual({
      rejectUnauthorized: true,
      ca: 'read /ca',
      cert: 'read /c',
      key: 'read /k',
    });
    expect(of('verify-full&sslrootcert=system').ssl).toEqual({ rejectUnauthorized: true });
  });
});

test.each([
  ['h:5432:d:u:secret', 'secret'],
  ['#h:5432:d:u:no\n\n*:*:*:*:secret', 'secret'],
  ['other:5432:d:u:no\nh:5432:d:other:no\nh:*:d:u:secret\n*:*:*:*:no', 'secret'],
  ['h:5432:d:u:with:colons', 'with:colons'],
  ['h:5432:d:u:a\\\\b\\:c', 'a\\b:c'],
  ['\\h:5432:d:u:secret\r\n', 'secret'],
  ['h:5432:d:u:', undefined],
  ['h:5432:d:u', undefined],
  ['', undefined],
])('the password file %j', (text, password) => {
  expect(passwordIn(text, requireServerAddress('postgresql://u@h/d', {}))).toBe(password);
});

test.each<[Record<string, unknown>, string]>([
  [{ code: 'ECONNREFUSED' }, 'server-unreachable'],
  [{ code: 'ECONNRESET' }, 'server-connection-lost'],
  [{ code: '57P01', severity: 'FATAL' }, 'server-connection-lost'],
  [{ code: '28P01', severity: 'FATAL' }, 'server-sign-in-refused'],
  [{ code: '53100', severity: 'ERROR' }, 'record-disk-full'],
  [{ code: '53300', severity: 'FATAL' }, 'record-busy'],
  [{ code: '25006', severity: 'ERROR' }, 'record-read-only'],
  [{ code: 'XX001', severity: 'ERROR' }, 'record-damaged'],
  [{ code: '22021', severity: 'ERROR' }, 'server-entry-refused'],
  [{ code: 'ERR_TLS_CERT_ALTNAME_INVALID' }, 'server-not-trusted'],
  [{ message: 'Connection terminated unexpectedly' }, 'server-connection-lost'],
])('what is said, in our words: %j', (said, code) => {
  const failure = postgresFailure(Object.assign(new Error('as it says'), said), 'postgresql://u@h:1/d');
  expect(failure).toBeInstanceOf(Failure);
  expect((failure as Failure).facts).toMatchObject({ code, exit: 7, where: 'postgresql://u@h:1/d' });
});

test('what is no trouble of the server stays a bug', () => {
  for (const error of [
    new TypeError('x'),
    Object.assign(new Error('x'), { code: '42601', severity: 'ERROR' }),
    Object.assign(new Error('x'), { code: 'ERR_INVALID_ARG_TYPE' }),
  ]) {
    expect(postgresFailure(error, 'w')).toBe(error);
    expect(mostAttempts(error)).toBe(1);
  }
});
