// A gap in a procedure: a finding that also says which step it is about, where in the manifest that stands, and
// the shortest way that shows it.

import type { Finding } from '../words/finding.ts';

/** Every code that the check for gaps can give. All but the last are rules of their own. */
export type GapCode =
  | 'needs-fails'
  | 'never-true'
  | 'busy-broken'
  | 'end-state'
  | 'update-unseen'
  | 'step-unreachable'
  | 'end-missing'
  | 'runs-off'
  | 'loop-unbounded'
  | 'patterns-alike'
  | 'patterns-by-colour'
  | 'too-many-states';

export interface GapFinding extends Finding {
  readonly code: GapCode;
  /** The step it is about; absent where it is about the whole procedure or a pattern. */
  readonly step?: string;
  /** The position it is about, where it is about one. */
  readonly position?: string;
  /** The index of the `never` that comes true. */
  readonly neverRule?: number;
  /** Keys from the top of the manifest to what is at fault. */
  readonly keys: readonly (string | number)[];
  /** Ids of the steps of a shortest way that shows it, in order; the step where it shows stands last. */
  readonly way?: readonly string[];
}
