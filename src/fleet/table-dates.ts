// Dates as a table has them, by a form that was declared: `DD.MM.YYYY`, `MM/DD/YYYY` and the like. Without one only ISO 8601
// is a date: whether 3/4 is in March or in April nobody can tell from a table.

import { isCalendarDate } from '../manifest/calendar-date.ts';

export interface DateForm {
  readonly text: string;
  readonly pattern: RegExp;
  /** Which group of the pattern is the year, the month, the day. */
  readonly year: number;
  readonly month: number;
  readonly day: number;
}

const parts = /^(DD?|MM?|YYYY)([./-])(DD?|MM?|YYYY)\2(DD?|MM?|YYYY)$/;

/** `DD.MM.YYYY` in any order, with points, slashes or dashes; one D or M where zeros are left out, too. undefined: no form. */
export function readDateForm(text: string): DateForm | undefined {
  const match = parts.exec(text.trim().toUpperCase());
  if (match === null) return undefined;
  const [, first = '', separator = '', second = '', third = ''] = match;
  const order = [first, second, third].map((part) => part[0] ?? '');
  if (new Set(order).size !== 3) return undefined;
  const group = (part: string) => (part[0] === 'Y' ? '(\\d{4})' : '(\\d{1,2})');
  const between = separator === '.' ? '\\.' : separator;
  return {
    text: text.trim().toUpperCase(),
    pattern: new RegExp(`^${[first, second, third].map(group).join(between)}$`),
    year: order.indexOf('Y') + 1,
    month: order.indexOf('M') + 1,
    day: order.indexOf('D') + 1,
  };
}

/** As `2026-10-01`; a date in ISO 8601 stays as it is. undefined: it has not that form, or there is no such day. */
export function isoDate(written: string, form: DateForm): string | undefined {
  if (/^\d{4}-\d{2}-\d{2}/.test(written)) return written;
  const match = form.pattern.exec(written);
  if (match === null) return undefined;
  const [year, month, day] = [form.year, form.month, form.day].map((group) => match[group] ?? '');
  const iso = `${year}-${month?.padStart(2, '0')}-${day?.padStart(2, '0')}`;
  return isCalendarDate(iso) ? iso : undefined;
}
