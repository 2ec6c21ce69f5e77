// Refuses a page that holds characters which the press has no letters for: a step with a hole in it can hurt.

import type { Ink, PdfPress } from '../../ports/pdf-press.ts';
import { Failure } from '../../words/failure.ts';

const shown = 6;

const byBrowser = 'Use --format html and print it from a browser.';

/** `what` is printed, as a person calls it; `next` where there is no other form to print. */
export function requireLetters(
  pages: readonly (readonly Ink[])[],
  press: PdfPress,
  what = 'sheet',
  next = byBrowser,
): void {
  const lacking = new Set<string>();
  for (const ink of pages.flat()) {
    if (ink.kind === 'text') for (const character of press.lacking(ink.text)) lacking.add(character);
  }
  if (lacking.size === 0) return;
  const named = [...lacking]
    .slice(0, shown)
    .map((character) => `U+${(character.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0')}`);
  throw new Failure({
    code: 'letters-missing',
    exit: 2,
    summary: `The PDF has no letters for some characters of this ${what}, and a ${what} is never printed with a hole in it.`,
    seen: `${named.join(', ')}${lacking.size > shown ? ' and more' : ''}`,
    next,
  });
}
