// The facts of the one Failure that something must end with; a bug, or nothing at all, fails the test.

import { Failure } from '../../src/words/failure.ts';

export function failureOf(act: () => unknown): Failure['facts'] {
  try {
    act();
  } catch (error) {
    return factsOf(error);
  }
  throw new Error('nothing was refused');
}

export async function laterFailureOf(act: () => Promise<unknown>): Promise<Failure['facts']> {
  try {
    await act();
  } catch (error) {
    return factsOf(error);
  }
  throw new Error('nothing was refused');
}

function factsOf(error: unknown): Failure['facts'] {
  if (error instanceof Failure) return error.facts;
  throw error;
}
