// The number of a sheet: judged by the serials' own MOD 37-2, written apart, and by every slip of one character.

import { expect, test } from 'vitest';
import { checkCharactersAgree } from '../../../src/fleet/check-characters.ts';
import type { Random } from '../../../src/ports/random.ts';
import { drawSheetNumber, readSheetNumber } from '../../../src/sheet/sheet-number.ts';

const letters = '23456789CDFHJKLMNPRTVWXY';

function counting(): Random {
  let state = 1;
  return {
    bytes: (count) =>
      Uint8Array.from({ length: count }, () => {
        state = (state * 1103515245 + 12345) % 2 ** 31;
        return state >>> 16;
      }),
  };
}

test('is two groups of four letters that nobody mistakes, the last a MOD 37-2 check character', () => {
  const random = counting();
  const numbers = Array.from({ length: 2000 }, () => drawSheetNumber(random));
  for (const number of numbers) {
    expect(number).toMatch(/^[2-9CDFHJKLMNPRTV-Y]{4}-[2-9CDFHJKLMNPRTV-Y]{4}$/);
    expect(checkCharactersAgree('mod-37-2', number.replace('-', ''))).toBe(true);
    expect(readSheetNumber(number)).toBe(number);
  }
  expect(new Set(numbers).size).toBe(numbers.length);
  // Every letter comes up.
  expect([...new Set(numbers.join('').replaceAll('-', ''))].sort().join('')).toBe(
    [...letters].sort().join(''),
  );
});

test('comes from any randomness at all', () => {
  for (const byte of [0, 23, 24, 255]) {
    const number = drawSheetNumber({ bytes: (count) => new Uint8Array(count).fill(byte) });
    expect(readSheetNumber(number)).toBe(number);
  }
});

test('the check character by hand', () => {
  // 2: (0+2)*2=4; C=12: (4+12)*2=32; 3: (32+3)*2=70=33; D=13: (33+13)*2=92=18; F=15: (18+15)*2=66=29;
  // 4: (29+4)*2=66=29; 5: (29+5)*2=68=31; the check c makes 31+c = 1 modulo 37: 7.
  expect(readSheetNumber('2C3D-F457')).toBe('2C3D-F457');
  expect(readSheetNumber('2C3D-F458')).toBeUndefined();
});

test('is read as people type it', () => {
  for (const typed of ['2c3df457', ' 2C3D F457 ', '2c3d-f457', '2C-3D-F4-57']) {
    expect(readSheetNumber(typed), typed).toBe('2C3D-F457');
  }
  for (const typed of ['', '2C3D', '2C3D-F457-2', '2C3D-F45*', 'x'.repeat(10_000), '2C3D-F45\u0667']) {
    expect(readSheetNumber(typed), typed.slice(0, 20)).toBeUndefined();
  }
});

test('one wrong character and two swapped neighbours are always seen', () => {
  const random = counting();
  for (let i = 0; i < 50; i++) {
    const number = drawSheetNumber(random).replace('-', '');
    for (let at = 0; at < number.length; at++) {
      for (const letter of letters) {
        if (letter === number[at]) continue;
        expect(readSheetNumber(number.slice(0, at) + letter + number.slice(at + 1))).toBeUndefined();
      }
      const next = number[at + 1];
      if (next === undefined || next === number[at]) continue;
      const swapped = number.slice(0, at) + next + number[at] + number.slice(at + 2);
      expect(readSheetNumber(swapped), `${number} ${swapped}`).toBeUndefined();
    }
  }
});
