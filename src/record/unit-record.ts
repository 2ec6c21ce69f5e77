// A unit as the record stores it: what others work from (UnitState), and what only the register's own tables
// and the store need. Kept apart so that the state stays what status, paths and sheets are about.

import type { UnitState, VersionKnown } from './unit-state.ts';

export interface UnitRecord extends UnitState {
  /** The newest versions that tables said, whether or not they count: an unchanged row makes no entry. */
  readonly reported: {
    /** With a date of its own. */
    readonly dated: VersionKnown | null;
    readonly undated: VersionKnown | null;
  };
  /** Claimed time of the newest entry, milliseconds UTC. */
  readonly newestMs: number;
}
