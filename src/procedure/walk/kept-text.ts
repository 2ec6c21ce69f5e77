// What a person types into a walk and the record keeps: one line, bounded, nothing that acts on a terminal.

import { plainText } from '../../words/plain-text.ts';

/** Of names and numbers; a setting may say more. */
const longestName = 80;
export const longestSetting = 200;

/** undefined: nothing was written, or what was written is too long or unfit. */
export function keptText(text: string, longest = longestName): string | undefined {
  const plain = plainText(text, longest);
  return plain === '' ? undefined : plain;
}
