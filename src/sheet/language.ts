// The languages in which a sheet can be printed. Adding one is one file in `languages/` and its line here; the
// compiler holds it to the English file's shape.

import { en } from './languages/en.ts';

export type SheetLanguage = typeof en;

export const languages = { en } as const satisfies Record<string, SheetLanguage>;
export type LanguageCode = keyof typeof languages;
