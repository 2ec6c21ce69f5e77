// What of TLS is asked for, as libpq's sslmode means it. Without one: nothing on this computer itself, and the whole
// proof (verify-full) everywhere else; libpq's own default would go on without TLS where the other side wants none.

import type { ConnectionOptions } from 'node:tls';
import { Failure } from '../../../words/failure.ts';
import type { ServerAddress } from './server-url.ts';

export interface TlsChoice {
  /** false: none. */
  readonly ssl: false | ConnectionOptions;
  /** Goes on without where the server has none. */
  readonly mayDoWithout: boolean;
}

const isHere = (host: string) => host.startsWith('/') || /^(localhost|127(\.\d+){3}|::1)$/i.test(host);

export function tlsChoice(
  { host, tls: { sslmode, sslrootcert, sslcert, sslkey } }: ServerAddress,
  read: (path: string) => string,
): TlsChoice {
  const mode = sslmode ?? (isHere(host) ? 'disable' : 'verify-full');
  if (mode === 'disable' || host.startsWith('/')) return { ssl: false, mayDoWithout: true };
  const files = {
    ...(sslrootcert === undefined || sslrootcert === 'system' ? {} : { ca: read(sslrootcert) }),
    ...(sslcert === undefined ? {} : { cert: read(sslcert) }),
    ...(sslkey === undefined ? {} : { key: read(sslkey) }),
  };
  const authorityOnly = { ...files, rejectUnauthorized: true, checkServerIdentity: () => undefined };
  switch (mode) {
    case 'allow':
    case 'prefer':
      return { ssl: { ...files, rejectUnauthorized: false }, mayDoWithout: true };
    case 'require':
      // With an authority named it is checked, as libpq does.
      return {
        ssl: sslrootcert === undefined ? { ...files, rejectUnauthorized: false } : authorityOnly,
        mayDoWithout: false,
      };
    case 'verify-ca':
      return { ssl: authorityOnly, mayDoWithout: false };
    case 'verify-full':
      return { ssl: { ...files, rejectUnauthorized: true }, mayDoWithout: false };
    default:
      throw new Failure({
        code: 'server-url-form',
        exit: 2,
        summary: 'There is no such sslmode.',
        seen: mode,
        expected: 'disable, prefer, require, verify-ca or verify-full',
        where: 'sslmode',
        next: 'Use verify-full unless the administrator says otherwise.',
      });
  }
}
