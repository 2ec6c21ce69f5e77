// The languages in which a sheet can be printed. Adding one is one file in `languages/` and its line here; the
// compiler holds it to the English file's shape.

import { de } from './languages/de.ts';
import { en } from './languages/en.ts';
import { fr } from './languages/fr.ts';

export type SheetLanguage = typeof en;

export const languages = { en, de, fr } as const satisfies Record<string, SheetLanguage>;
export type LanguageCode = keyof typeof languages;
