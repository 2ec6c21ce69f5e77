// One thing of this laptop that the work of tonight and tomorrow needs, and how it stands. A check answers, whatever is
// wrong: what fails in it is what it says.

import { Failure } from '../../words/failure.ts';

export interface LaptopCheck {
  /** One or two words, stable: part of the command line's contract. */
  readonly check: string;
  /** `stop`: the work would fail. `warn`: it may, or something is missing that somebody will ask for. */
  readonly verdict: 'good' | 'warn' | 'stop';
  readonly summary: string;
  readonly seen?: string;
  readonly expected?: string;
  readonly where?: string;
  /** Present where the verdict is not `good`. */
  readonly next?: string;
}

export const good = (check: string, summary: string): LaptopCheck => ({ check, verdict: 'good', summary });

/** What a Failure says, as the answer of this check. */
export async function asked(check: string, look: () => Promise<LaptopCheck>): Promise<LaptopCheck> {
  try {
    return await look();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    const { code: _code, exit: _exit, more: _more, ...said } = error.facts;
    return { check, verdict: 'stop', ...said };
  }
}
