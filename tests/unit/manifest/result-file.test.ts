// The rules of `resultFile` in a product's manifest, one fault planted at a time, each told at its place.

import { expect, test } from 'vitest';
import { buildCatalogue } from '../../../src/manifest/build-catalogue.ts';
import { pond, pondRelease } from './pond-3.ts';

const pattern = '^(?<serial>TP[0-9]{6}) (?<version>[0-9.]+) (?<status>[A-Z]+)$';
/** Stands on line 15; the pattern on line 17. */
const written = (changes: Readonly<Record<string, string>> = {}, afterUse = 'writes') => {
  const fields = {
    name: 'POND.TXT',
    folder: "''",
    pattern: `'${pattern}'`,
    updated: '[OK]',
    failed: '[BAD]',
  };
  const lines = Object.entries({ ...fields, ...changes }).map(([key, value]) => `  ${key}: ${value}`);
  return pond({
    13: [
      '  capacity: { min: 16MB, max: 2GB }',
      `  afterUse: ${afterUse}`,
      'resultFile:',
      ...lines.filter((line) => !line.endsWith(': -')),
    ].join('\n'),
  });
};

function told(product: string, release?: string): string[] {
  const texts = [{ path: 'P', content: product }];
  if (release !== undefined) texts.push({ path: 'R', content: release });
  return buildCatalogue(texts)
    .findings.filter(
      ({ code }) =>
        !['source-missing', 'not-second-checked', 'serves-missing', 'while-busy-missing'].includes(code),
    )
    .map(({ where, code, severity }) => `${where} ${code} ${severity}`);
}

test('sound, with its defaults', () => {
  expect(told(written())).toEqual([]);
  expect(told(written({ folder: '-', failed: '-' }))).toEqual([]);
  expect(told(written({ folder: 'LOGS/A', pattern: "'(?P<serial>.*) (?:x)(?P<status>.)'" }))).toEqual([]);
  const product = buildCatalogue([
    { path: 'P', content: written({ folder: '-', failed: '-' }) },
  ]).products.get('pond-3');
  expect(product?.resultFile).toEqual({ name: 'POND.TXT', folder: '', pattern, updated: ['OK'], failed: [] });
});

test.each([
  ['a name that is none', { name: "'a/b'" }, ['P:16:9 schema stop']],
  ['a long name', { name: 'pond-result.txt' }, ['P:16:9 schema stop']],
  ['lower case', { name: 'pond.txt' }, ['P:16:9 schema stop']],
  ['a folder with a long name', { folder: 'Results' }, ['P:17:11 schema stop']],
  ['a folder that leads out', { folder: '../x' }, ['P:17:11 schema stop']],
  ['no pattern', { pattern: '-' }, ['P:15:1 schema stop']],
  ['a pattern that does not compile', { pattern: "'(?<serial>[)(?<status>x)'" }, ['P:18:12 schema stop']],
  ['look-around', { pattern: "'(?<serial>a)(?=x)(?<status>x)'" }, ['P:18:12 schema stop']],
  ['a group twice', { pattern: "'(?<serial>a)(?<serial>b)(?<status>x)'" }, ['P:18:12 schema stop']],
  ['no serial', { pattern: "'(?<status>x)'" }, ['P:18:12 schema stop']],
  ['no status', { pattern: "'(?<serial>x)'" }, ['P:18:12 schema stop']],
  ['no named group', { pattern: "'(a)(b)'" }, ['P:18:12 schema stop', 'P:18:12 schema stop']],
  ['an unknown group', { pattern: "'(?<serial>a)(?<status>x)(?<when>y)'" }, ['P:18:12 unknown-name stop']],
  [
    'a pattern that would take long',
    { pattern: "'(?<serial>(?:a?){900}(?:a?){900})(?<status>b)$'" },
    ['P:18:12 schema stop'],
  ],
  ['a pattern of no end', { pattern: `'${'(?:x'.repeat(99)}'` }, ['P:18:12 schema stop']],
  ['no word for updated', { updated: '[]' }, ['P:19:12 schema stop']],
  ['a word for both', { updated: '[OK, BAD]' }, ['P:20:12 duplicate-name stop']],
  ['a word twice', { failed: '[BAD, WORSE, BAD]' }, ['P:20:24 duplicate-name stop']],
  ['an unknown key', { state: 'x' }, ['P:21:3 unknown-key stop']],
])('%s', (_, changes, expected) => {
  expect(told(written(changes as Record<string, string>)).filter((line) => line.startsWith('P:'))).toEqual(
    expected,
  );
});

test('a unit that is said to leave the card unchanged writes nothing: a warning', () => {
  expect(told(written({}, 'unchanged'))).toEqual(['P:14:13 result-file-unwritten warn']);
});

test('the firmware file of a release must not have its name and place', () => {
  const release = (image: string) => pondRelease({ 12: image });
  expect(told(written({ name: 'POND3.BIN' }), release('  name: POND3.BIN'))).toEqual(['R:12:9 schema stop']);
  expect(told(written({ name: 'POND3.BIN', folder: 'LOGS' }), release('  name: POND3.BIN'))).toEqual([]);
});
