// The sheet's words where a phone says them otherwise than paper: there is no first page whose head could be meant.

import type { SheetLanguage } from '../language.ts';

export function pocketWords(words: SheetLanguage): SheetLanguage {
  const { pocket } = words;
  return {
    ...words,
    steps: { ...words.steps, ...pocket.steps },
    units: { ...words.units, order: pocket.begin.order },
  };
}
