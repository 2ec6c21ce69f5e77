// A host without a person: nothing is read, what is printed goes nowhere, and time is the tests' own.

import { testClock } from './test-clock.ts';

export function testHost() {
  const stream = { columns: 80, write: () => {} };
  return {
    stdin: {},
    stdout: stream,
    stderr: stream,
    env: {},
    clock: testClock,
    onInterrupt: () => () => {},
  };
}
