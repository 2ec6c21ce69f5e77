// The languages in which a sheet can be printed and a visit walked, by their BCP 47 tags. Apart from the languages, so
// that what only needs the names does not carry the words with it.

export const languageCodes = ['en', 'de', 'fr'] as const;
export type LanguageCode = (typeof languageCodes)[number];

export const isLanguageCode = (code: string): code is LanguageCode =>
  (languageCodes as readonly string[]).includes(code);
