// Text of a manifest or the register made fit for a page: one line, safe to print, and never cut. What a step
// says is an instruction: half of it can hurt, so a text beyond the schema's bounds is refused instead.

import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';

/** Beyond every bound of the manifests' schema; escapes make a text up to six times as long. */
const longest = 2000;

export function paragraph(text: string): string {
  const oneLine = text.replace(/\s+/gu, ' ').trim();
  if (oneLine.length > longest) {
    throw new Failure({
      code: 'text-too-long',
      exit: 2,
      summary: 'A text is too long to be printed whole, and a sheet never cuts one.',
      seen: `${oneLine.length} characters, beginning ${printable(oneLine, 40)}`,
      expected: `${longest} characters at most`,
      next: 'Shorten it in the manifest or the register.',
    });
  }
  return printable(oneLine, longest);
}
