import { expect, test } from 'vitest';
import type { Ink } from '../../../../src/ports/pdf-press.ts';
import { blank, ticked, together, typesetter, type Word, words } from '../../../../src/sheet/pdf/typeset.ts';
import { fakePress } from './fake-press.ts';

const type = typesetter(fakePress);
/** Ten points: a letter is five wide, a line as high as its leading says. */
const set = (all: readonly Word[], widthPt: number) => type.set(all, { widthPt, sizePt: 10, leading: 1.2 });
const textsOf = (inks: readonly Ink[]) => inks.flatMap((ink) => (ink.kind === 'text' ? [ink.text] : []));
const lines = (all: readonly Word[], widthPt: number) => textsOf(set(all, widthPt).inkAt(0, 0));

test('words fill a line up to its width, and not a point more', () => {
  expect(lines(words('ab cd ef'), 40)).toEqual(['ab cd ef']);
  expect(lines(words('ab cd ef'), 39)).toEqual(['ab cd', 'ef']);
  expect(set(words('ab cd ef'), 39).heightPt).toBe(24);
  expect(set(words('  '), 39).heightPt).toBe(0);
});

test('bold words are as wide as bold letters, and a space between them too', () => {
  // 5 bold letters and a bold space of 6 each: 36; then a plain space of 5 and a letter.
  expect(lines([...words('ab cde', 'bold'), ...words('f')], 46)).toEqual(['ab cde', 'f']);
  const [bold, plain] = set([...words('ab cde', 'bold'), ...words('f')], 46).inkAt(100, 0);
  expect(bold).toMatchObject({ xPt: 100, face: 'bold' });
  expect(plain).toMatchObject({ xPt: 141, face: 'plain' });
  expect(lines([...words('ab cde', 'bold'), ...words('f')], 45)).toEqual(['ab cde', 'f']);
  expect(set([...words('ab cde', 'bold'), ...words('f')], 45).heightPt).toBe(24);
});

test('a word longer than the line is cut, nothing of it lost', () => {
  expect(lines(words('abcdefghij'), 20)).toEqual(['abcd', 'efgh', 'ij']);
  expect(lines(words('ab'), 1)).toEqual(['a', 'b']);
});

test('a no-break space holds together what fits a line, and is where what does not is parted', () => {
  expect(lines(words('ab cd\u00a0ef'), 40)).toEqual(['ab cd ef']);
  expect(lines(words('ab cd\u00a0ef'), 39)).toEqual(['ab', 'cd ef']);
  expect(lines(words('abcd\u00a0efgh'), 30)).toEqual(['abcd', 'efgh']);
});

test('underscores are a blank to write on; a blank wider than the line is as wide as the line', () => {
  const inks = set(words('at ____:____'), 200).inkAt(0, 0);
  expect(inks.map(({ kind }) => kind)).toEqual(['text', 'line', 'text', 'line']);
  const [, first] = inks;
  // `at ` is 15 wide; four underscores stand for 4 x 0.58 sizes.
  expect(first).toMatchObject({ fromPt: [15, expect.any(Number)] });
  expect(first?.kind === 'line' && first.toPt[0] - first.fromPt[0]).toBeCloseTo(23.2);
  const [wide] = set([[blank(100)]], 50).inkAt(0, 0);
  expect(wide).toMatchObject({
    kind: 'line',
    fromPt: [0, expect.any(Number)],
    toPt: [50, expect.any(Number)],
  });
});

test('a box is never parted from its first word', () => {
  const inks = set([...words('abc'), ...ticked('de fg')], 42).inkAt(0, 0);
  // abc is 15, a space 5, box and no-break space 9.5 + 5, de 10: 44.5, so the box begins the next line.
  const [, box, text] = inks;
  expect(box).toMatchObject({ kind: 'box', xPt: 0 });
  expect(text).toMatchObject({ kind: 'text', text: ' de fg' });
});

test('words put together are parted only where they must be', () => {
  expect(lines([...words('ab'), together(words('cd ef'))], 39)).toEqual(['ab', 'cd ef']);
});

test('letters are composed before they are set', () => {
  expect(lines(words('Kla\u0308rwerk'), 100)).toEqual(['Kl\u00e4rwerk']);
});
