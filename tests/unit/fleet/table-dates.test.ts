// Dates of a declared form, by hand and against a calendar that counts days by itself.

import { expect, test } from 'vitest';
import { isoDate, readDateForm } from '../../../src/fleet/table-dates.ts';

const read = (form: string, text: string) => isoDate(text, readDateForm(form)!);

test.each([
  ['DD.MM.YYYY', '03.04.2026', '2026-04-03'],
  ['D.M.YYYY', '3.4.2026', '2026-04-03'],
  ['MM/DD/YYYY', '03/04/2026', '2026-03-04'],
  ['YYYY/MM/DD', '2026/3/4', '2026-03-04'],
  ['dd-mm-yyyy', '03-04-2026', '2026-04-03'],
  ['DD.MM.YYYY', '29.02.2028', '2028-02-29'],
  ['DD.MM.YYYY', '2026-04-03', '2026-04-03'],
  ['DD.MM.YYYY', '29.02.2026', undefined],
  ['DD.MM.YYYY', '13.13.2026', undefined],
  ['DD.MM.YYYY', '00.01.2026', undefined],
  ['DD.MM.YYYY', '3/4/2026', undefined],
  ['DD.MM.YYYY', '3.4.26', undefined],
  ['DD.MM.YYYY', 'yesterday', undefined],
])('%s: %s', (form, text, iso) => {
  expect(read(form, text)).toBe(iso);
});

test.each(['', 'DD.MM', 'DD.DD.YYYY', 'DD.MM-YYYY', 'DD MM YYYY', 'YY.MM.DD', '(.*)+', 'DD.MM.YYYY.x'])(
  '%j is no form',
  (text) => {
    expect(readDateForm(text)).toBeUndefined();
  },
);

test('every day of four years, in two forms', () => {
  for (let at = Date.UTC(2024, 0, 1); at < Date.UTC(2028, 0, 1); at += 86_400_000) {
    const iso = new Date(at).toISOString().slice(0, 10);
    const [year, month, day] = iso.split('-');
    expect(read('DD.MM.YYYY', `${day}.${month}.${year}`)).toBe(iso);
    expect(read('MM/DD/YYYY', `${Number(month)}/${Number(day)}/${year}`)).toBe(iso);
  }
});
