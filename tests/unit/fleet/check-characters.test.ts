// Judges: examples worked by hand from the standards' own definitions (weights written out, not a running
// remainder), and every single mistake that the standards promise to catch, tried one by one.

import { describe, expect, it } from 'vitest';
import { type CheckScheme, checkCharactersAgree } from '../../../src/fleet/check-characters.ts';

const alphabets: Record<Exclude<CheckScheme, 'none'>, string> = {
  luhn: '0123456789',
  'mod-11-2': '0123456789',
  'mod-37-2': '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ',
  'mod-97-10': '0123456789',
};

const checkParts: Record<Exclude<CheckScheme, 'none'>, string[]> = {
  luhn: [...'0123456789'],
  'mod-11-2': [...'0123456789X'],
  'mod-37-2': [...'0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*'],
  'mod-97-10': Array.from({ length: 100 }, (_, value) => String(value).padStart(2, '0')),
};

/** The definitions with explicit weights and exact integers: another way than the code's running remainder. */
function judge(scheme: Exclude<CheckScheme, 'none'>, text: string): boolean {
  const values = [...text].map((character) =>
    scheme === 'mod-11-2' && character === 'X' ? 10 : character === '*' ? 36 : Number.parseInt(character, 36),
  );
  const n = values.length;
  const weighted = (weight: (fromRight: number) => bigint) =>
    values.reduce((sum, value, index) => sum + BigInt(value) * weight(n - 1 - index), 0n);
  if (scheme === 'mod-11-2') return weighted((i) => 2n ** BigInt(i)) % 11n === 1n;
  if (scheme === 'mod-37-2') return weighted((i) => 2n ** BigInt(i)) % 37n === 1n;
  if (scheme === 'mod-97-10') return BigInt(text) % 97n === 1n;
  const doubled = ['0', '2', '4', '6', '8', '1', '3', '5', '7', '9'];
  const summed = values.map((value, index) => ((n - 1 - index) % 2 === 1 ? Number(doubled[value]) : value));
  return summed.reduce((a, b) => a + b, 0) % 10 === 0;
}

function* bodies(alphabet: string, count: number, length: number): Generator<string> {
  let state = 12345;
  for (let i = 0; i < count; i++) {
    let body = '';
    for (let j = 0; j < length; j++) {
      state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
      body += alphabet[(state >> 8) % alphabet.length];
    }
    yield body;
  }
}

const schemes = Object.keys(alphabets) as Exclude<CheckScheme, 'none'>[];

function withCheck(scheme: Exclude<CheckScheme, 'none'>, body: string): string {
  const part = checkParts[scheme].find((candidate) => judge(scheme, body + candidate));
  if (part === undefined) throw new Error(`no check part for ${body}`);
  return body + part;
}

describe('published and hand-worked examples', () => {
  it('luhn: 7992739871 takes 3 (doubled from the right: 2+9+8+3+4+7+... = 67, to 70 is 3)', () => {
    expect(checkCharactersAgree('luhn', '79927398713')).toBe(true);
    for (const wrong of '012456789') expect(checkCharactersAgree('luhn', `7992739871${wrong}`)).toBe(false);
  });

  it('mod-11-2: 0794 takes 0, and 079 takes X (9*2 + 7*4 = 46, 46 + 10 = 1 modulo 11)', () => {
    expect(checkCharactersAgree('mod-11-2', '07940')).toBe(true);
    expect(checkCharactersAgree('mod-11-2', '079X')).toBe(true);
    for (const wrong of '0123456789') expect(checkCharactersAgree('mod-11-2', `079${wrong}`)).toBe(false);
    expect(checkCharactersAgree('mod-11-2', '000000021694233X')).toBe(true);
    expect(checkCharactersAgree('mod-11-2', '0000000218250097')).toBe(true);
  });

  it('mod-37-2: G123489654321 takes Y; a star stands for 36', () => {
    expect(checkCharactersAgree('mod-37-2', 'G123489654321Y')).toBe(true);
    expect(checkCharactersAgree('mod-37-2', 'G123489654321X')).toBe(false);
    // 1 alone: 1*2 + 36 = 38, which leaves 1.
    expect(checkCharactersAgree('mod-37-2', '1*')).toBe(true);
    expect(checkCharactersAgree('mod-37-2', '2*')).toBe(false);
  });

  it('mod-97-10: 794 takes 44 (79400 leaves 54; 98 - 54)', () => {
    expect(checkCharactersAgree('mod-97-10', '79444')).toBe(true);
    expect(checkCharactersAgree('mod-97-10', '79445')).toBe(false);
  });

  it('skips what the scheme does not know, but counts X and the star only where they stand last', () => {
    expect(checkCharactersAgree('luhn', 'TRB-7992739871-3')).toBe(true);
    expect(checkCharactersAgree('mod-11-2', 'XX07940')).toBe(true);
    expect(checkCharactersAgree('mod-11-2', '07X940')).toBe(true);
    // Counted, the X would agree (1*2 + 10 = 12); skipped, one digit is left and nothing to check it by.
    expect(checkCharactersAgree('mod-11-2', '1XK')).toBe(false);
    expect(checkCharactersAgree('mod-11-2', '1X')).toBe(true);
    expect(checkCharactersAgree('mod-37-2', 'G-123489654321-Y')).toBe(true);
    expect(checkCharactersAgree('mod-37-2', '*G123489654321Y')).toBe(true);
    expect(checkCharactersAgree('mod-97-10', 'TR79444')).toBe(true);
  });

  it('refuses a serial with nothing to check, and takes anything where there is no scheme', () => {
    expect(checkCharactersAgree('luhn', 'ABC')).toBe(false);
    expect(checkCharactersAgree('luhn', '0')).toBe(false);
    expect(checkCharactersAgree('mod-11-2', '1')).toBe(false);
    expect(checkCharactersAgree('mod-37-2', '1')).toBe(false);
    expect(checkCharactersAgree('mod-97-10', '01')).toBe(false);
    expect(checkCharactersAgree('none', '')).toBe(true);
  });
});

describe.each(schemes)('%s against its definition', (scheme) => {
  const alphabet = alphabets[scheme];

  it('agrees with the judge on every check part of 300 bodies', () => {
    for (const body of bodies(alphabet, 300, 9))
      for (const part of checkParts[scheme])
        expect(checkCharactersAgree(scheme, body + part), body + part).toBe(judge(scheme, body + part));
  });

  it('catches every single wrong character', () => {
    for (const body of bodies(alphabet, 40, 8)) {
      const whole = withCheck(scheme, body);
      expect(checkCharactersAgree(scheme, whole)).toBe(true);
      for (let at = 0; at < whole.length; at++)
        for (const character of alphabet) {
          if (character === whole[at]) continue;
          const wrong = whole.slice(0, at) + character + whole.slice(at + 1);
          expect(checkCharactersAgree(scheme, wrong), `${whole} read as ${wrong}`).toBe(false);
        }
    }
  });

  it('catches every swap of neighbours, except 09 and 90 under luhn', () => {
    let missed = 0;
    for (const body of bodies(alphabet, 400, 8)) {
      const whole = withCheck(scheme, body);
      for (let at = 0; at + 1 < whole.length; at++) {
        const [a, b] = [whole[at]!, whole[at + 1]!];
        if (a === b || a === 'X' || b === 'X' || a === '*' || b === '*') continue;
        const swapped = whole.slice(0, at) + b + a + whole.slice(at + 2);
        const agrees = checkCharactersAgree(scheme, swapped);
        if (scheme === 'luhn' && [a, b].sort().join('') === '09') {
          expect(agrees).toBe(true);
          missed++;
        } else expect(agrees, `${whole} read as ${swapped}`).toBe(false);
      }
    }
    expect(missed > 0).toBe(scheme === 'luhn');
  });
});
