// The code that is read out over the telephone: its layout read by a judge written apart, every slip of a finger,
// codes of other sheets and units, and made-up ones.

import { describe, expect, test } from 'vitest';
import { codeLetters, withCheckSymbols } from '../../../../src/sheet/outcome/code-symbols.ts';
import type { CodedOutcome, OutcomeSheet } from '../../../../src/sheet/outcome/outcome.ts';
import { encodeOutcomeCode } from '../../../../src/sheet/outcome/outcome-code.ts';
import { readOutcomeCode } from '../../../../src/sheet/outcome/read-outcome.ts';
import { judgeCode } from './code-judge.ts';
import { byHand, key, otherKey, sheetOf, updated } from './outcome-fixture.ts';

const coded = (changes: Partial<CodedOutcome> = {}): CodedOutcome => {
  const { at: _at, by: _by, ...rest } = updated(changes);
  return rest;
};
const codeOf = (outcome = coded(), sheet = sheetOf()): string => {
  const code = encodeOutcomeCode(outcome, sheet);
  expect(code).toBeDefined();
  return code!;
};
const reasonOf = (code: string, sheet = sheetOf(), serial?: string) => {
  const read = readOutcomeCode(code, sheet, serial);
  return read.kind === 'refused' ? read.reason : read.kind;
};

describe('the layout, by a judge written apart', () => {
  test('a unit of the sheet: sixteen characters in groups of four', () => {
    const code = codeOf();
    expect(code).toMatch(/^[2-9CDFHJKLMNPRTWXY]{4}(-[2-9CDFHJKLMNPRTWXY]{4}){3}$/);
    expect(judgeCode(code, { sheet: 'K7MD-29XX', key, serial: 'TB8120001234', contentLength: 7 })).toEqual({
      checksAgree: true,
      head: [2, 0, 1, 3, 1],
      sheetAgrees: true,
      keyedAgrees: true,
    });
  });

  test('another version than the release’s, and a failure with its cause', () => {
    const outcome = coded({ outcome: 'failed', cause: 'site', versionRead: '2.5', left: 'no-life' });
    // One symbol for the length; three characters of twelve fill three of twenty-three.
    const judged = judgeCode(codeOf(outcome), {
      sheet: 'K7MD-29XX',
      key,
      serial: 'TB8120001234',
      contentLength: 7 + 1 + 3,
    });
    expect(judged).toEqual({
      checksAgree: true,
      head: [2, 6, 4, 3, 2],
      sheetAgrees: true,
      keyedAgrees: true,
    });
  });

  test('a serial written in by hand stands in the code', () => {
    const code = codeOf(coded({ row: 1, serial: 'TK7', lights: undefined } as never), byHand());
    const judged = judgeCode(code, { sheet: 'K7MD-29XX', key, serial: 'TK7', contentLength: 7 + 1 + 4 });
    expect(judged).toMatchObject({ checksAgree: true, head: [0, 0, 1, 0, 1], keyedAgrees: true });
  });

  test('the judge sees planted faults', () => {
    const how = { sheet: 'K7MD-29XX', key, serial: 'TB8120001234', contentLength: 7 };
    const code = codeOf();
    const other = code.startsWith('2') ? '3' : '2';
    expect(judgeCode(other + code.slice(1), how).checksAgree).toBe(false);
    expect(judgeCode(code, { ...how, key: otherKey }).keyedAgrees).toBe(false);
    expect(judgeCode(code, { ...how, serial: 'TB8120000834' }).keyedAgrees).toBe(false);
    expect(judgeCode(code, { ...how, sheet: 'H8LT-3NP7' }).sheetAgrees).toBe(false);
  });
});

describe('slips of a finger', () => {
  const codes: [string, OutcomeSheet][] = [
    [codeOf(), sheetOf()],
    [codeOf(coded({ outcome: 'deferred', reason: 'no-access' })), sheetOf()],
    [codeOf(coded({ versionRead: '2.4.11' })), sheetOf()],
    [codeOf(coded({ row: 1 }), byHand()), byHand()],
    [codeOf(coded({ row: 1, serial: 'ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-ABCDEF' }), byHand()), byHand()],
  ];
  /** Every code with one character replaced by each other character that can be typed. */
  const oneWrong = (code: string) =>
    [...code].flatMap((right, at) =>
      right === '-'
        ? []
        : [...'0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ']
            .filter((letter) => letter !== right)
            .map((letter) => code.slice(0, at) + letter + code.slice(at + 1)),
    );
  const swapped = (code: string) => {
    const plain = code.replaceAll('-', '');
    return [...plain].slice(1).flatMap((right, i) => {
      const left = plain[i]!;
      return left === right ? [] : [plain.slice(0, i) + right + left + plain.slice(i + 2)];
    });
  };
  const missed = (read: (code: string) => string, slips: readonly string[]) =>
    slips.filter((slip) => read(slip) !== 'mistyped');

  test.each(codes.map(([code, sheet], i) => [i, code, sheet] as const))(
    'code %i: every wrong character and every swap of two neighbours is told as mistyped',
    (_i, code, sheet) => {
      expect(reasonOf(code, sheet)).toBe('outcome');
      const slips = [...oneWrong(code), ...swapped(code)];
      expect(slips.length).toBeGreaterThan(16 * 35);
      expect(missed((slip) => reasonOf(slip, sheet), slips)).toEqual([]);
    },
  );

  test('two wrong characters in a code of sixteen are told as mistyped', () => {
    const [code] = codes[0]!;
    const plain = code.replaceAll('-', '');
    const slips: string[] = [];
    for (let a = 0; a < plain.length; a++) {
      for (let b = a + 1; b < plain.length; b++) {
        for (const [x, y] of [
          [1, 1],
          [1, 22],
          [5, 9],
          [22, 3],
        ] as const) {
          const letters = [...plain];
          letters[a] = codeLetters[(codeLetters.indexOf(letters[a]!) + x) % 23]!;
          letters[b] = codeLetters[(codeLetters.indexOf(letters[b]!) + y) % 23]!;
          slips.push(letters.join(''));
        }
      }
    }
    expect(missed((slip) => reasonOf(slip), slips)).toEqual([]);
  });

  test('the judge of slips sees a reader that lets them through', () => {
    const [code] = codes[0]!;
    expect(missed(() => 'forged', oneWrong(code))).toHaveLength(16 * 35);
    // A reader with the plain sum alone takes a swap of neighbours.
    const plainSum = (slip: string) =>
      [...slip].reduce((sum, letter) => sum + codeLetters.indexOf(letter), 0) % 23 === 0
        ? 'outcome'
        : 'mistyped';
    expect(missed(plainSum, swapped(code)).length).toBeGreaterThan(0);
  });

  test('a character left out, said twice or added', () => {
    const plain = codeOf().replaceAll('-', '');
    for (const slip of [plain.slice(1), plain.slice(0, -1), `${plain}2`, `2${plain}`, plain.slice(0, 12)]) {
      expect(reasonOf(slip), slip).toBe('mistyped');
    }
    for (const slip of [
      '',
      '   ',
      'K7MD',
      'x'.repeat(2000),
      'no code at all!',
      '\u001b[2J',
      plain.repeat(9),
    ]) {
      expect(reasonOf(slip), slip).toBe('malformed');
    }
  });

  test('case, blanks and hyphens do not count', () => {
    const code = codeOf();
    for (const typed of [
      code.toLowerCase(),
      code.replaceAll('-', ' '),
      ` ${code}\n`,
      code.replaceAll('-', ''),
    ]) {
      expect(reasonOf(typed), typed).toBe('outcome');
    }
  });
});

describe('what is not ours', () => {
  test('made with another key: forged', () => {
    expect(reasonOf(codeOf(coded(), sheetOf({ key: otherKey })))).toBe('forged');
  });

  test('of another sheet: told as such, whatever the key', () => {
    for (const other of [otherKey, key]) {
      const sheet = sheetOf({ sheet: 'H8LT-3NP7', key: other });
      expect(reasonOf(codeOf(coded({ sheet: 'H8LT-3NP7' }), sheet))).toBe('wrong-sheet');
    }
  });

  test('another unit than the one asked for: told, with its serial', () => {
    const code = codeOf(coded({ row: 3, serial: 'TB8120007777' }));
    expect(readOutcomeCode(code, sheetOf(), 'TB8120001234')).toEqual({
      kind: 'refused',
      reason: 'wrong-unit',
      seen: 'TB8120007777',
    });
    expect(reasonOf(code, sheetOf(), 'TB8120007777')).toBe('outcome');
    expect(reasonOf(code)).toBe('outcome');
  });

  test('the right row of a sheet whose row is another unit', () => {
    const sheet = sheetOf({ units: ['TB8120000834', 'TB8120007777', 'TB8120001234'] });
    expect(reasonOf(codeOf(), sheet)).toBe('forged');
    expect(
      reasonOf(codeOf(coded({ row: 3, serial: 'TB8120007777' })), sheetOf({ units: ['TB8120000834'] })),
    ).toBe('forged');
  });

  test('any change of the content with check characters made right again is forged', () => {
    const symbols = [...codeOf().replaceAll('-', '')].map((letter) => codeLetters.indexOf(letter));
    const content = symbols.slice(0, -2);
    const believed: string[] = [];
    for (let at = 0; at < content.length; at++) {
      for (let add = 1; add < 23; add++) {
        const changed = content.map((symbol, i) => (i === at ? (symbol + add) % 23 : symbol));
        const code = withCheckSymbols(changed)
          .map((symbol) => codeLetters[symbol])
          .join('');
        const reason = reasonOf(code);
        if (reason !== 'forged' && !(reason === 'wrong-sheet' && (at === 5 || at === 6))) believed.push(code);
      }
    }
    expect(believed).toEqual([]);
  });
});

test('what has no short form has none', () => {
  expect(encodeOutcomeCode(coded({ serial: 'Ä-7', row: 1 }), byHand())).toBeUndefined();
  expect(encodeOutcomeCode(coded({ serial: 'A'.repeat(60), row: 1 }), byHand())).toBeUndefined();
  expect(encodeOutcomeCode(coded({ versionRead: 'B7' }), sheetOf())).toBeUndefined();
  expect(encodeOutcomeCode(coded({ lights: 'unheard-of' }), sheetOf())).toBeUndefined();
  expect(encodeOutcomeCode(coded({ outcome: 'updated', reason: 'no-time' }), sheetOf())).toBeUndefined();
  expect(encodeOutcomeCode(coded({ row: 65 }), sheetOf())).toBeUndefined();
});
