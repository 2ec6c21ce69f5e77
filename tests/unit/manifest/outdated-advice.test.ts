// What is to be done about a withdrawn release, where that names a release that is withdrawn as well.

import { expect, test } from 'vitest';
import { adviceJudged, namesVersionOf, withdrawnAdvised } from '../../../src/manifest/outdated-advice.ts';
import type { Release } from '../../../src/manifest/schema.ts';
import { release as fixture } from '../fleet/fleet-fixture.ts';

const release = (version: string, doThis?: string): Release => ({
  ...fixture({ version, sequence: 1 }),
  ...(doThis === undefined
    ? {}
    : { withdrawn: { on: '2026-10-01', why: 'it goes wrong', ...(doThis === '' ? {} : { doThis }) } }),
});

test.each<[string, string, boolean]>([
  ['2.6.0', 'units that have it go to 2.6.0 first of all', true],
  ['2.6.0', 'Go to 2.6.0.', true],
  ['2.6.0', 'go to hearth-90@2.6.0', true],
  ['2.6.0', 'go to 12.6.0 or 2.6.01 or 2.6.0.1', false],
  ['2026-01-28', 'back to 2026-01-28, then ring', true],
  ['118', 'go to 118', true],
  ['118', 'ring 555-118', false],
  ['2', 'ring 2 people', false],
])('is %s named in "%s": %s', (version, text, expected) => {
  expect(namesVersionOf(text, { version })).toBe(expected);
});

test('only withdrawn ones of the same product, and never the release itself', () => {
  const from = release('2.5.3', 'leave 2.5.3; go to 2.6.0 or 2.7.0');
  const gone = release('2.6.0', '');
  const other = { ...release('2.7.0', ''), product: 'weir-18' };
  expect(withdrawnAdvised(from, from.withdrawn?.doThis, [from, gone, other])).toEqual([gone]);
  expect(withdrawnAdvised(from, undefined, [from, gone])).toEqual([]);
});

test('such advice says so; all else is handed on as it is', () => {
  const from = release('2.5.3', 'go to 2.6.0');
  const standing = [from, release('2.6.0'), release('2.4.0', '')];
  expect(adviceJudged(standing)).toBe(standing);
  const [told, gone] = adviceJudged([from, release('2.6.0', 'ring the maker')]);
  expect(told?.withdrawn?.doThis).toBe(
    'go to 2.6.0. But 2.6.0 is withdrawn as well: ask the service lead where to go.',
  );
  expect(gone?.withdrawn?.doThis).toBe('ring the maker');
});
