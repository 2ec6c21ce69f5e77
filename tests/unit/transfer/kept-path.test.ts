// Names of kept copies: whatever a card calls its files, the copies stay in their folder and apart from each other.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { harmlessName, keptPaths, timeName } from '../../../src/transfer/kept-path.ts';
import { checkSeeded } from '../../support/seeded.ts';

describe('one part', () => {
  it.each([
    ['plan.txt', 'plan.txt'],
    ['.Trashes', '.Trashes'],
    ['..', '__'],
    ['.', '_'],
    ['', '_'],
    ['a/b\\c', 'a_b_c'],
    ['a:b*c?"<>|', 'a_b_c_____'],
    ['CON', '_CON'],
    ['con.txt', '_con.txt'],
    ['LPT1.a.b', '_LPT1.a.b'],
    ['console', 'console'],
    ['ends with a dot.', 'ends with a dot_'],
    ['ends with blanks  ', 'ends with blanks__'],
    [' begins with one', '_ begins with one'],
    ['line\nbreak\u001b[2J', 'line_break_[2J'],
    ['right\u202eleft', 'right_left'],
    ['half \ud800 pair', 'half _ pair'],
  ])('%j becomes %j', (name, harmless) => {
    expect(harmlessName(name)).toBe(harmless);
  });

  it('is never longer than every system takes, and keeps its ending', () => {
    const long = `${'ü'.repeat(250)}.jpeg`;
    expect(Buffer.byteLength(harmlessName(long))).toBeLessThanOrEqual(120);
    expect(harmlessName(long)).toMatch(/^ü+\.jpeg$/);
    expect(Buffer.byteLength(harmlessName('🜂'.repeat(100)))).toBeLessThanOrEqual(120);
    expect(harmlessName('🜂'.repeat(100))).toMatch(/^(🜂)+$/u);
  });
});

describe('many files', () => {
  it('never share a name, with or without regard to case', () => {
    const paths = keptPaths();
    expect(paths.next(['A.TXT'])).toBe('A.TXT');
    expect(paths.next(['a.txt'])).toBe('a (2).txt');
    expect(paths.next(['a.txt'])).toBe('a (3).txt');
    expect(paths.next(['a (2).txt'])).toBe('a (2) (2).txt');
    expect(paths.next(['b?', 'c'])).toBe('b_/c');
    expect(paths.next(['b*', 'c'])).toBe('b_ (2)/c');
    expect(paths.next(['b?', 'd'])).toBe('b_/d');
    expect(paths.next(['b_'])).toBe('b_ (3)');
  });

  it('stay within the folder and apart, for any names', async () => {
    const part = fc.oneof(
      fc.string({ unit: 'binary', maxLength: 12 }),
      fc.constantFrom('..', '.', '/', 'CON', 'a', 'A', ''),
    );
    const property = fc.property(
      fc.array(fc.array(part, { minLength: 1, maxLength: 30 }), { maxLength: 20 }),
      (files) => {
        const paths = keptPaths();
        const given = files.map((file) => paths.next(file));
        const folded = given.map((path) => path.normalize('NFC').toLowerCase());
        expect(new Set(folded).size).toBe(given.length);
        for (const path of given) {
          const parts = path.split('/');
          expect(parts.length).toBeLessThanOrEqual(18);
          for (const one of parts) expect(one).toMatch(/^(?!\.{1,2}$)[^\u0000-\u001f\\:*?"<>|/]+$/u);
          // No file lies where another needs a folder.
          for (const other of folded)
            expect(other.startsWith(`${path.normalize('NFC').toLowerCase()}/`)).toBe(false);
        }
      },
    );
    await checkSeeded('tests/unit/transfer/kept-path.test.ts', 500, property);
  });
});

it('names a time so that it sorts and is a name everywhere', () => {
  expect(timeName(Date.UTC(2026, 10, 24, 22, 58, 3, 12))).toBe('2026-11-24T225803Z');
});
