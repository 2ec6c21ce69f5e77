// The one error type for everything that is expected to go wrong: what was seen, what was expected, where,
// and one next step. Anything else that is thrown is a bug in the tool and is reported as one.

import type { ExitCode } from './exit-code.ts';

export interface FailureFacts {
  /** Kebab-case, stable: part of the command line's contract. */
  readonly code: string;
  readonly exit: Exclude<ExitCode, 0 | 1>;
  readonly summary: string;
  readonly seen?: string;
  readonly expected?: string;
  readonly where?: string;
  readonly next: string;
  /** Further fields of the error's JSON: what was done before it failed. */
  readonly more?: Readonly<Record<string, unknown>>;
}

export class Failure extends Error {
  readonly facts: FailureFacts;

  constructor(facts: FailureFacts, cause?: unknown) {
    super(facts.summary, cause === undefined ? undefined : { cause });
    this.name = 'Failure';
    this.facts = facts;
  }
}
