// A fault of a table as a whole, as people are told it (exit 2). A fault of one row is no failure: it is told with its line.

import { Failure } from '../words/failure.ts';

export function tableFailure(
  code: string,
  summary: string,
  where: string,
  more: { readonly seen?: string; readonly expected?: string; readonly next?: string },
): Failure {
  return new Failure({
    code,
    exit: 2,
    summary,
    where,
    next: 'Correct the table, then run the same again.',
    ...more,
  });
}
