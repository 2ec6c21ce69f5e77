// What went wrong, for people: the fact, what was seen and expected, where, and one next step. What is no
// Failure is a bug in the tool and says so.

import type { Failure } from '../words/failure.ts';
import { hidePasswords } from '../words/hide-passwords.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import type { Look } from './finding-text.ts';
import { paint } from './paint.ts';

export function renderFailure(failure: Failure, look: Look): string {
  const columns = Math.min(look.columns, 100);
  const { code, summary, seen, expected, where, next } = failure.facts;
  const line = (name: string, text: string | undefined) =>
    text === undefined
      ? []
      : [wrap(`${name} ${printable(hidePasswords(text), 1000)}`, columns, '    ', '  ')];
  return [
    `${paint('error:', 'red', look.colour)} ${wrap(`${printable(hidePasswords(summary), 1000)} [${code}]`, columns - 7, '  ', '')}`,
    ...line('seen:', seen),
    ...line('expected:', expected),
    ...line('where:', where),
    ...line('next:', next),
  ].join('\n');
}

/** The same as the fields of the JSON object; every one a string or null. */
export function failureJson(failure: Failure): Record<string, unknown> {
  const { code, summary, seen, expected, where, next, more } = failure.facts;
  return {
    ...more,
    code,
    summary: hidePasswords(summary),
    where: where === undefined ? null : hidePasswords(where),
    next: hidePasswords(next),
    ...(seen === undefined ? {} : { seen: hidePasswords(seen) }),
    ...(expected === undefined ? {} : { expected: hidePasswords(expected) }),
  };
}

export function renderBug(error: unknown): string {
  const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
  return [
    'This is a bug in slotproof, not something you did. Nothing more was written after it.',
    'Please report it with the command you gave and the lines below.',
    hidePasswords(stack)
      .split('\n')
      .slice(0, 12)
      .map((line) => `  ${printable(line, 300)}`)
      .join('\n'),
  ].join('\n');
}
