// Serials as they arrive from keyboards, scanners and tables. The right answers are written out by hand; the
// check characters themselves are judged in check-characters.test.ts.

import { describe, expect, it } from 'vitest';
import { byCodePoints, nearSerialsAmong } from '../../../src/fleet/near-serials.ts';
import { maxSerialLength, readSerial, type SerialRule } from '../../../src/fleet/serial.ts';

// 10000008: from the right 8, then zeros, the 1 in eighth place doubled: 8 + 2 = 10, a multiple of ten.
// 10000016: 6 + 1*2 + 1*2 = 10.
const pump: SerialRule = {
  id: 'rill-40',
  hardware: ['A', 'B', 'C', 'D'],
  serial: { pattern: '^TR(?<hardware>[A-D])[0-9]{8}$', check: 'luhn' },
};
const cabinet: SerialRule = {
  id: 'keld-9',
  hardware: ['1', '2'],
  serial: { pattern: 'k[0-9]{4}|k[0-9]{6}' },
};
const products = [pump, cabinet];

function refusalOf(text: string, rules: SerialRule[] = products) {
  const reading = readSerial(text, rules);
  return reading.ok ? 'taken' : reading.code;
}

describe('readSerial', () => {
  it('gives the product and the hardware that the pattern names', () => {
    expect(readSerial('TRB10000008', products)).toEqual({
      ok: true,
      serial: 'TRB10000008',
      matches: [{ product: 'rill-40', hardware: 'B' }],
    });
    expect(readSerial('k1234', products)).toEqual({
      ok: true,
      serial: 'k1234',
      matches: [{ product: 'keld-9', hardware: null }],
    });
  });

  it.each([
    ['blanks and line ends', ' \tTRB10000008\r\n'],
    ['a no-break space and a byte order mark', '\ufeffTRB10000008\u00a0'],
    ['small letters', 'trb10000008'],
    ['a zero-width space', '\u200bTRB10000008'],
  ])('takes %s away', (_, typed) => {
    expect(readSerial(typed, products)).toMatchObject({ ok: true, serial: 'TRB10000008' });
  });

  it('takes the case that the pattern wants, Caps Lock included', () => {
    expect(readSerial('K1234', products)).toMatchObject({ ok: true, serial: 'k1234' });
    const mixed: SerialRule = { id: 'x', hardware: ['1'], serial: { pattern: 'Ab[0-9]+' } };
    expect(readSerial('aB12', [mixed])).toMatchObject({ ok: true, serial: 'Ab12' });
    const small: SerialRule = { id: 'x', hardware: ['1'], serial: { pattern: '[a-z]{3}' } };
    expect(readSerial('aBc', [small])).toMatchObject({ ok: true, serial: 'abc' });
    const both: SerialRule = { id: 'x', hardware: ['1'], serial: { pattern: '[A-Za-z]{3}' } };
    expect(readSerial('aBc', [both])).toMatchObject({ ok: true, serial: 'aBc' });
    const ignoring: SerialRule = { id: 'x', hardware: ['1'], serial: { pattern: '(?i)[a-z]{3}' } };
    expect(readSerial('aBc', [ignoring])).toMatchObject({ ok: true, serial: 'ABC' });
  });

  it('matches in full only, also without anchors and with alternatives of which the first is a beginning', () => {
    expect(readSerial('k123456', products)).toMatchObject({ ok: true });
    for (const wrong of ['k12345', 'xk1234', 'k1234x', 'TRB10000008 0', 'TRE10000008', 'TRB1000008'])
      expect(refusalOf(wrong), wrong).toBe('serial-form');
  });

  it('says why it refuses', () => {
    expect(refusalOf('  ')).toBe('serial-empty');
    expect(refusalOf('1'.repeat(maxSerialLength + 1))).toBe('serial-too-long');
    expect(refusalOf('TRB10000009')).toBe('serial-check');
    expect(refusalOf('TRB10000080')).toBe('serial-check');
    expect(refusalOf('TRD10000008', [{ ...pump, hardware: ['A', 'B'] }])).toBe('serial-hardware');
    const form = readSerial('k12\u001b[31m', products);
    expect(form.ok ? '' : form.summary).not.toContain('\u001b');
  });

  it('names every product that it can belong to, and prefers one whose check characters agree', () => {
    const loose: SerialRule = { id: 'loose', hardware: ['1'], serial: { pattern: 'TR.*' } };
    expect(readSerial('TRB10000008', [loose, pump])).toMatchObject({
      matches: [
        { product: 'loose', hardware: null },
        { product: 'rill-40', hardware: 'B' },
      ],
    });
    expect(readSerial('TRB10000009', [pump, loose])).toMatchObject({ matches: [{ product: 'loose' }] });
  });

  it('leaves a group that took no part as not known', () => {
    const optional: SerialRule = { id: 'x', hardware: ['A'], serial: { pattern: '(?:(?<hardware>A)|B)1' } };
    expect(readSerial('B1', [optional])).toMatchObject({ matches: [{ hardware: null }] });
  });

  it('lets a pattern that does not compile match nothing, and one made to hang take no time', () => {
    expect(refusalOf('a1', [{ id: 'x', hardware: [], serial: { pattern: '(a' } }])).toBe('serial-form');
    const hanging: SerialRule = { id: 'x', hardware: [], serial: { pattern: '(a*)*(a*)*(a*)*b' } };
    expect(refusalOf('a'.repeat(maxSerialLength), [hanging])).toBe('serial-form');
  });
});

const among = (typed: string, known: readonly string[], limit?: number) =>
  nearSerialsAmong(typed, [...known].sort(byCodePoints), limit);

describe('nearSerials', () => {
  const known = ['TRB10000008', 'TRB10000016', 'TRC10000008', 'k1234', 'K99'];

  it.each([
    ['one wrong', 'TRB10000018', ['TRB10000008', 'TRB10000016']],
    ['neighbours swapped', 'TRB01000008', ['TRB10000008']],
    ['two apart swapped', 'TRB80000001', ['TRB10000008']],
    ['one missing', 'TRB1000008', ['TRB10000008']],
    ['one too many', 'TRB100000016', ['TRB10000016']],
    ['one too many at the end', 'k12345', ['k1234']],
    ['other capitals', 'K1234', ['k1234']],
    ['the wrong revision', 'TRA10000008', ['TRB10000008', 'TRC10000008']],
    ['nothing near', 'TRB55555555', []],
    ['itself', 'K99', []],
    ['an empty text', '', []],
  ])('%s', (_, typed, expected) => {
    expect(among(typed, known)).toEqual(expected);
  });

  it('agrees with every slip made by force', () => {
    const alphabet = 'AB1';
    const words: string[] = [];
    const grow = (word: string) => {
      words.push(word);
      if (word.length < 4) for (const character of alphabet) grow(word + character);
    };
    grow('');
    const slips = (word: string) => {
      const made = new Set<string>();
      for (let i = 0; i <= word.length; i++) {
        for (const c of alphabet) made.add(word.slice(0, i) + c + word.slice(i));
        if (i === word.length) continue;
        made.add(word.slice(0, i) + word.slice(i + 1));
        for (const c of alphabet) made.add(word.slice(0, i) + c + word.slice(i + 1));
        for (let j = i + 1; j < word.length; j++) {
          const letters = [...word];
          [letters[i], letters[j]] = [letters[j]!, letters[i]!];
          made.add(letters.join(''));
        }
      }
      made.delete(word);
      return made;
    };
    for (const word of words) {
      const expected = [...slips(word)].filter((slip) => words.includes(slip)).sort();
      expect(among(word, words, 999).sort(), word).toEqual(expected);
    }
  });

  it('shows a few only', () => {
    expect(among('A0', ['A1', 'A2', 'A3', 'A4', 'A5'])).toEqual(['A1', 'A2', 'A3']);
  });
});
