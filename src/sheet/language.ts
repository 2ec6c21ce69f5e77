// The languages in which a sheet can be printed. Adding one is one file in `languages/`, named and exported by its tag,
// its line here and its tag in `language-codes.ts`; the compiler holds it to the English file's shape.

import type { LanguageCode } from './language-codes.ts';
import { de } from './languages/de.ts';
import { en } from './languages/en.ts';
import { fr } from './languages/fr.ts';

export type SheetLanguage = typeof en;

export const languages: Readonly<Record<LanguageCode, SheetLanguage>> = { en, de, fr };
