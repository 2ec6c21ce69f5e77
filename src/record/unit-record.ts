// A unit as the record stores it: what others work from (UnitState), and what only the register's own tables
// need. Kept apart so that the state stays what status, paths and sheets are about.

import type { UnitState, VersionKnown } from './unit-state.ts';

export interface UnitRecord extends UnitState {
  /** The newest version that a table said, whether or not it counts: an unchanged row makes no entry. */
  readonly versionReported: VersionKnown | null;
  /** Claimed time of the first entry and of the newest, milliseconds UTC. */
  readonly knownSinceMs: number;
  readonly newestMs: number;
}
