// Options that are texts, made fit to be kept: one line, bounded, without control characters.

import { Failure } from '../words/failure.ts';
import { plainText } from '../words/plain-text.ts';
import { printable } from '../words/printable.ts';
import type { OptionValues } from './command.ts';

/** undefined where the option was not given; Failure where it was given empty, too long or unfit. */
export function textOption(
  options: OptionValues,
  name: string,
  flag: string,
  maxLength: number,
): string | undefined {
  const value = options[name];
  return typeof value === 'string' ? requireText(value, flag, maxLength) : undefined;
}

export function requireText(value: string, flag: string, maxLength: number): string {
  const text = plainText(value, maxLength);
  if (text !== undefined && text !== '') return text;
  throw new Failure({
    code: 'text-unfit',
    exit: 2,
    summary: text === '' ? `${flag} is empty.` : `${flag} is too long or holds control characters.`,
    seen: printable(value, 80),
    expected: `1 to ${maxLength} characters on one line`,
    where: flag,
    next: `Give ${flag} again, or leave it out.`,
  });
}
