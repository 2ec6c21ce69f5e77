// What the entries of one unit add up to: the facts that status, path and sheets are worked out from.
// The fold that makes it is `fold-unit.ts`; the status itself depends on the manifests and is fleet's work.

export type Evidence = 'lights' | 'read' | 'reported';
export type OutcomeKind = 'updated' | 'failed' | 'deferred' | 'already-current';
export type Left = 'running' | 'off' | 'locked-off' | 'no-life';

/** A version that somebody saw or said. Times are milliseconds UTC, as claimed. */
export interface VersionKnown {
  readonly version: string;
  readonly evidence: 'read' | 'reported';
  readonly atMs: number;
  /** A reported version with a date of its own (`versionReadOn`); always true for one that was read. */
  readonly dated: boolean;
}

export interface Outcome {
  readonly kind: OutcomeKind;
  /** `product@version` that was meant; absent where none was (a deferral without one). */
  readonly release?: string;
  readonly evidence: Evidence;
  readonly versionRead?: string;
  readonly left?: Left;
  readonly reason?: string;
  readonly cause?: string;
  readonly card?: string;
  readonly by: string;
  readonly atMs: number;
  readonly entryId: string;
}

export interface UnitState {
  readonly serial: string;
  readonly product: string;
  /** null: not known. */
  readonly hardware: string | null;
  readonly site: string | null;
  /** Further columns of the register: role, address, contact, access, notes. */
  readonly details: Readonly<Record<string, string>>;
  readonly retired: boolean;
  /** The version that counts: the latest, but a reported one without its own date never overrides one read. */
  readonly version: VersionKnown | null;
  /** The latest that our own people read from the unit. */
  readonly versionRead: VersionKnown | null;
  /** The newest outcome of any kind. */
  readonly lastOutcome: Outcome | null;
  /** The newest outcome that is not `deferred`. */
  readonly lastDecisive: Outcome | null;
  /** Versions that our own people read after that outcome, in order, each once; what was read with it is not after. */
  readonly readSince: readonly string[];
  readonly exempt: {
    readonly why: string /** Local day, still exempt on it. */;
    readonly until: string | null;
  } | null;
  /** How the unit was left, as last said. */
  readonly left: Left | null;
}
