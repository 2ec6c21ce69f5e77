// The small schemas from which product and release are built: text, names, sizes, durations, dates, and
// objects that refuse unknown keys. Each states in its message what is expected, since the reader of
// manifests prints that beside what it found. Sizes leave here as bytes, durations as seconds.

import * as z from 'zod';
import { parseSize } from '../words/size.ts';
import { isCalendarDate } from './calendar-date.ts';
import { asText, asValue } from './plain-scalar.ts';

// Each schema runs a few times a process at most: making code of it first would cost more than it saves.
z.config({ jitless: true });

/** Blanks at the end are for the published schema alone, which does not trim. */
const controlFree = /^[^\u0000-\u001f\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]*\s*$/u;
/** Unquoted numbers and truth values are taken as text too; an editor that knows the published schema should agree. */
const writtenAsText = { type: ['string', 'number', 'boolean'] } as unknown as { type: 'string' };

/** An object with these keys and no others. */
export function strict<T extends z.ZodRawShape>(shape: T) {
  const keys = Object.keys(shape).join(', ');
  return z.preprocess(
    asValue,
    z.strictObject(shape, {
      error: (issue) =>
        issue.code === 'unrecognized_keys' ? `one of: ${keys}` : `a mapping with the keys ${keys}`,
    }),
  );
}

export function list<T extends z.ZodType>(item: T, of: string, min: number, max: number) {
  const message = `a list of ${min} to ${max} ${of}`;
  return z.preprocess(
    asValue,
    z.array(item, { error: message }).min(min, { error: message }).max(max, { error: message }),
  );
}

export function mapping<K extends z.ZodType<string, string>, V extends z.ZodType>(
  key: K,
  value: V,
  of: string,
  max: number,
) {
  const message = `a mapping of ${of}, at most ${max}`;
  return z.preprocess(
    asValue,
    z
      .record(key, value, { error: message })
      .refine((entries) => Object.keys(entries).length <= max, { error: message }),
  );
}

export function text(maxLength: number) {
  const message = `text of 1 to ${maxLength} characters on one line`;
  return z.preprocess(
    asText,
    z
      .string({ error: message })
      // A folded block (`>`) ends with a line break that nobody means.
      .trim()
      .min(1, { error: message, abort: true })
      // Before any pattern looks at it: a text of any length must not cost time.
      .max(maxLength, { error: message, abort: true })
      .regex(controlFree, {
        error: 'text on one line, without control characters or marks that change the reading direction',
      })
      .meta(writtenAsText),
  );
}

export function matching(pattern: RegExp, expected: string) {
  return z.preprocess(
    asText,
    z.string({ error: expected }).regex(pattern, { error: expected }).meta(writtenAsText),
  );
}

const nameExpected = 'a name of lower-case letters, digits and hyphens that begins with a letter, at most 40';
/** Keys cannot be preprocessed: they are always text. `constructor` would be found on every object. */
const namePattern = /^(?!constructor$)[a-z][a-z0-9-]{0,39}$/;
export const nameKey = z.string({ error: nameExpected }).regex(namePattern, { error: nameExpected });
/** Of a light, a pattern or a position. */
export const name = matching(namePattern, nameExpected);
/** Of a product, a step or a state: may begin with a digit. */
export const wideName = matching(
  /^(?!constructor$)[a-z0-9][a-z0-9-]{0,39}$/,
  'a name of lower-case letters, digits and hyphens, at most 40',
);
export const hardwareName = matching(
  /^[A-Za-z0-9][A-Za-z0-9._-]{0,15}$/,
  'a hardware revision as on the label: letters, digits, dots and hyphens, at most 16',
);
/** Ends up in file names and on labels; whether it fits the product's scheme is a rule of its own. */
export const version = matching(
  /^[0-9A-Za-z](?:[0-9A-Za-z._-]{0,38}[0-9A-Za-z])?$/,
  'a version of letters, digits, dots and hyphens, at most 40',
);

/** Of one file on a card or in a folder: no separators, nothing that file systems refuse. */
export const fileName = matching(
  /^(?! )[^\u0000-\u001f\u007f-\u009f"*/:<>?\\|\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]{0,119}[^\u0000-\u001f\u007f-\u009f"*/:<>?\\|\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff. ]$/u,
  'a file name without any of " * / : < > ? \\ | and no dot or blank at its end',
);
const folderPart = '(?! )[^\\u0000-\\u001f\\u007f"*/:<>?\\\\|]{0,59}[^\\u0000-\\u001f\\u007f"*/:<>?\\\\|. ]';
/** Where on a card it lies. Ends of dots and blanks are refused: systems drop them, and `..` leads elsewhere. */
export const folder = matching(
  new RegExp(`^$|^${folderPart}(?:/${folderPart}){0,7}$`, 'u'),
  "a folder on the card such as 'FW/LOAD', or '' for the root",
);
export function integer(min: number, max: number) {
  const message = `a whole number from ${min} to ${max}`;
  return z.preprocess(
    asValue,
    z.int({ error: message }).min(min, { error: message }).max(max, { error: message }),
  );
}

export function number(min: number, max: number) {
  const message = `a number from ${min} to ${max}`;
  return z.preprocess(
    asValue,
    z.number({ error: message }).min(min, { error: message }).max(max, { error: message }),
  );
}

export const truth = z.preprocess(asValue, z.boolean({ error: 'true or false' }));

export function oneOf<const T extends readonly [string, ...string[]]>(values: T) {
  return z.preprocess(asText, z.enum(values, { error: `one of: ${values.join(', ')}` }));
}

const sizeExpected = 'a size such as 512MiB, 32GB or plain bytes';
const sizeText = /^\d{1,15}(?:\.\d{1,3})?(?:B|[kKMGT]B|[KMGT]iB)?$/;

/** In whole bytes. */
export function size(minBytes: number, maxBytes: number) {
  return z.preprocess(
    asText,
    z
      .union(
        [
          z.int({ error: sizeExpected }).nonnegative({ error: sizeExpected }),
          z.string({ error: sizeExpected }).regex(sizeText, { error: sizeExpected }),
        ],
        { error: sizeExpected },
      )
      .transform((written, ctx) => {
        const bytes = typeof written === 'number' ? written : parseSize(written);
        if (bytes !== undefined && bytes >= minBytes && bytes <= maxBytes) return bytes;
        const message = bytes === undefined ? sizeExpected : `a size from ${minBytes} to ${maxBytes} bytes`;
        ctx.addIssue({ code: 'custom', message });
        return z.NEVER;
      }),
  );
}

const durationExpected = 'a duration such as 400ms, 90s, 20min or 2h';
const unitSeconds: Record<string, number> = { ms: 0.001, s: 1, min: 60, h: 3600 };

/** In seconds; at most 48 hours. */
export const duration = z.preprocess(
  asText,
  z
    .string({ error: durationExpected })
    .regex(/^\d{1,6}(?:\.\d{1,3})?(?:ms|s|min|h)$/, { error: durationExpected })
    .transform((written, ctx) => {
      const [, amount = '', unit = ''] = /^([\d.]+)([a-z]+)$/.exec(written) ?? [];
      // Rounded to whole milliseconds, so that 0.1s and 100ms are the same number.
      const seconds = Math.round(Number(amount) * (unitSeconds[unit] ?? Number.NaN) * 1000) / 1000;
      if (seconds > 0 && seconds <= 48 * 3600) return seconds;
      ctx.addIssue({ code: 'custom', message: 'a duration longer than nothing, at most 48h' });
      return z.NEVER;
    }),
);

const dateExpected = 'a date as YYYY-MM-DD';
export const date = z.preprocess(
  asText,
  z
    .string({ error: dateExpected })
    .regex(/^\d{4}-\d{2}-\d{2}$/, { error: dateExpected })
    .refine(isCalendarDate, { error: 'a day that the calendar has' }),
);
