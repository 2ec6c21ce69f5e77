// In which language a sheet is printed or a visit walked: `--language`, else SLOTPROOF_LANGUAGE, else English. What the
// tool itself says (findings, errors, help) and its JSON are in English whatever is chosen here.

import { isLanguageCode, type LanguageCode, languageCodes } from '../sheet/language-codes.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';

/** Failure exit 2 where the environment names a language that there is not; the parser looks at the option. */
export function wantedLanguage({ language }: Context, options: OptionValues): LanguageCode {
  const named = typeof options.language === 'string' ? options.language : language;
  if (named === undefined || named === '') return 'en';
  if (isLanguageCode(named)) return named;
  throw new Failure({
    code: 'language-unknown',
    exit: 2,
    summary: 'There are no words for a sheet in this language.',
    seen: printable(named, 40),
    expected: languageCodes.join(', '),
    where: 'SLOTPROOF_LANGUAGE',
    next: 'Give one of these as --language, or change the variable.',
  });
}
