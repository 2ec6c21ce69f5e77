// The office's server as the commands see it: a record store with what only a server has: an identity of its own, and
// roles with rights. Knows no engine. Failures: exit 7 where the server cannot be used, exit 2 for a wrong address.

import type { Finding } from '../words/finding.ts';
import type { RecordStore } from './record-store.ts';

/** What the role that signed in may do, as the server says. */
export interface RoleRights {
  readonly role: string;
  /** The chain that the role writes on the server itself. */
  readonly direct: string | undefined;
  /** The chains whose entries it may bring; `*`: all. */
  readonly brings: readonly string[];
  readonly addsUpUnits: boolean;
}

export interface ServerRecord<Unit> extends RecordStore<Unit> {
  /** The address, fit to be shown: there is no password in it. */
  readonly where: string;
  /** The same after the server was moved, or restored from a back-up. */
  readonly server: string;
  readonly rights: RoleRights;
  /** Do the server's guards stand, and has no role more rights than it needs? */
  checkRights(): Promise<Finding[]>;
}

export interface OfficeServer<Unit> {
  /** `own`: to read, and to append to the role's own chain there; `exchange`: all chains are taken in alike. */
  open(url: string, use: 'own' | 'exchange'): Promise<ServerRecord<Unit>>;
  /** For an administrator: makes tables and groups of roles, or brings them to today's version. */
  setUp(url: string): Promise<{ readonly where: string; readonly changed: boolean }>;
  /** The same as a text, to be run by hand. */
  setUpText(): string;
}
