import { describe, expect, it } from 'vitest';
import type { From, VersionScheme } from '../../../src/manifest/schema.ts';
import { admits, compareVersions, isVersion, sameVersion } from '../../../src/manifest/versions.ts';

const rows: [VersionScheme, string, '<' | '=' | '>', string][] = [
  ['dotted', '4.9', '<', '4.10'],
  ['dotted', '4.2', '=', '4.2.0'],
  ['dotted', '4', '=', '4.0.0.0'],
  ['dotted', '4.0.0.1', '>', '4'],
  ['dotted', '04.02', '=', '4.2'],
  ['dotted', '10', '>', '9.9.9'],
  ['dotted', '1.9007199254740993', '>', '1.9007199254740992'],
  ['dotted', '1.99999999999999999999999999999999999999', '<', '1.100000000000000000000000000000000000000'],
  ['dotted', '1.000000000000000000000000000000000000001', '=', '1.1'],
  ['integer', '9', '<', '10'],
  ['integer', '0010', '=', '10'],
  ['integer', '18446744073709551616', '>', '18446744073709551615'],
  ['date', '2026-09-30', '<', '2026-10-01'],
  ['date', '2026-9-3', '=', '2026-09-03'],
  ['date', '20261001', '=', '2026-10-01'],
  ['date', '2026.10.01', '=', '2026-10-01'],
  ['date', '202610', '<', '20261001'],
  ['date', '2026-10', '<', '2026-10-01'],
  ['date', '2026-10-01.2', '>', '2026-10-01'],
  ['date', '2026-10-01-2', '<', '2026-10-02'],
];

describe('the order of versions', () => {
  it.each(rows)('%s: %s %s %s', (scheme, a, relation, b) => {
    const sign = { '<': -1, '=': 0, '>': 1 }[relation];
    expect(Math.sign(compareVersions(scheme, a, b))).toBe(sign);
    expect(Math.sign(compareVersions(scheme, b, a))).toBe(sign === 0 ? 0 : -sign);
    expect(sameVersion(scheme, a, b)).toBe(sign === 0);
  });

  it('puts what is no version below every version, and tells such texts apart', () => {
    expect(compareVersions('dotted', 'beta', '0')).toBeLessThan(0);
    expect(compareVersions('dotted', '0', 'beta')).toBeGreaterThan(0);
    expect(compareVersions('dotted', 'beta', 'beta')).toBe(0);
    expect(compareVersions('dotted', 'alpha', 'beta')).toBeLessThan(0);
  });
});

describe('the form of versions', () => {
  it.each([
    [
      'dotted',
      ['4', '4.10', '0.0.1'],
      ['', '4.', '.4', '4..1', '4.1a', 'v4', '4-1', ' 4', '4\n', '٤', `${'1'.repeat(65)}`],
    ],
    ['integer', ['0', '118'], ['1.0', '-1', '1e3', '0x1']],
    [
      'date',
      ['2026-10-01', '20261001', '2026.1.2', '2026-10'],
      ['2026-13-01', '2026-00-01', '2026-10-32', '2026-10.01', '26-10-01', '2026', '1.2.3'],
    ],
  ] as [VersionScheme, string[], string[]][])('%s', (scheme, good, bad) => {
    expect(good.filter((text) => !isVersion(scheme, text))).toEqual([]);
    expect(bad.filter((text) => isVersion(scheme, text))).toEqual([]);
  });
});

describe('what a release may follow', () => {
  const range = (atLeast?: string, below?: string): From => ({
    kind: 'range',
    ...(atLeast !== undefined && { atLeast }),
    ...(below !== undefined && { below }),
  });

  it.each([
    [{ kind: 'any' } as From, ['0', '99', 'odd'], []],
    [
      range('3.8', '4.10'),
      ['3.8', '3.8.0', '3.10', '4', '4.9.9'],
      ['3.7.9', '4.10', '4.10.0', '5', 'odd', ''],
    ],
    [range('3.8'), ['3.8', '99'], ['3.7', 'odd']],
    [range(undefined, '4'), ['0', '3.99'], ['4', '4.0', 'odd']],
    [{ kind: 'list', versions: ['3.8', '4.10'] } as From, ['3.8', '3.8.0', '4.10'], ['4.1', '3.9', 'odd']],
  ])('%j', (from, yes, no) => {
    expect(yes.filter((version) => !admits('dotted', from, version))).toEqual([]);
    expect(no.filter((version) => admits('dotted', from, version))).toEqual([]);
  });
});
