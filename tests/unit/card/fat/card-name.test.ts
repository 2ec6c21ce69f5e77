// Names that entries get: plain ones, and aliases of long ones that are free in their folder.

import { describe, expect, it } from 'vitest';
import { planCardName, shortNameKey } from '../../../../src/card/fat/card-name.ts';

const none: ReadonlySet<string> = new Set();
const short = (name: string, taken = none, shortNameOnly = false) => {
  const given = planCardName(name, shortNameOnly, taken);
  return given && { short: shortNameKey(given.short), long: given.long };
};

describe('plain names', () => {
  it.each([
    ['RILL40.FWU', 'RILL40  FWU'],
    ['rill40.fwu', 'RILL40  FWU'],
    ['A', 'A          '],
    ['12345678.123', '12345678123'],
    ['FW', 'FW         '],
  ])('%s', (name, eleven) => {
    expect(short(name)).toEqual({ short: eleven, long: undefined });
    expect(short(name, none, true)).toEqual({ short: eleven, long: undefined });
  });

  it.each(['123456789.BIN', 'A.BCDE', 'a b.bin', 'A.B.C', '.profile', 'ABC.', 'rill+40.fwu'])(
    '%s is none',
    (name) => {
      expect(short(name, none, true)).toBeUndefined();
      expect(short(name)?.long).toBe(name);
    },
  );
});

describe('aliases', () => {
  it.each([
    ['rill 40, version 4.2.fwu', 'RILL40~1FWU'],
    ['Firmware.binary', 'FIRMWA~1BIN'],
    ['.profile', 'PROFIL~1   '],
    ['größe.txt', 'GR__E~1 TXT'],
    ['....', '_~1        '],
    ['a+b=c.x', 'A_B_C~1 X  '],
  ])('%s', (name, eleven) => {
    expect(short(name)).toEqual({ short: eleven, long: name });
  });

  it('differ from every name that stays in the folder', () => {
    const taken = new Set(
      Array.from({ length: 11 }, (_, i) => (i < 9 ? `RILL40~${i + 1}FWU` : `RILL4~${i + 1}FWU`)),
    );
    expect(short('rill 40 new.fwu', taken)?.short).toBe('RILL4~12FWU');
  });
});
