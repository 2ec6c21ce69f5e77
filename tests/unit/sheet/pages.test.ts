import { expect, test } from 'vitest';
import { type Block, layOut } from '../../../src/sheet/pages.ts';

const form = { height: 6, foot: (page: number, pages: number) => `${page}/${pages}` };
const block = (text: string, more: Partial<Block> = {}): Block => ({ lines: text.split(' '), ...more });

test('every page is of the stated height, its foot last', () => {
  expect(layOut([block('a b')], form)).toEqual([['a', 'b', '', '', '', '1/1']]);
  expect(layOut([block('a b c d')], form)).toEqual([['a', 'b', 'c', 'd', '', '1/1']]);
});

test('a block that does not fit goes to the next page whole', () => {
  expect(layOut([block('a b c'), block('d e')], form)).toEqual([
    ['a', 'b', 'c', '', '', '1/2'],
    ['d', 'e', '', '', '', '2/2'],
  ]);
});

test('a heading goes with what it heads', () => {
  expect(layOut([block('a b'), block('H', { withNext: true }), block('c d')], form)).toEqual([
    ['a', 'b', '', '', '', '1/2'],
    ['H', 'c', 'd', '', '', '2/2'],
  ]);
});

test('a new page where it is asked for, and no empty page for it', () => {
  expect(layOut([block('a'), block('b', { newPage: true })], form).map((page) => page[0])).toEqual([
    'a',
    'b',
  ]);
  expect(layOut([block('a', { newPage: true })], form)).toHaveLength(1);
  const headed = [block('a'), block('H', { withNext: true, newPage: true }), block('b')];
  expect(layOut(headed, form).map((page) => page.slice(0, 2))).toEqual([
    ['a', ''],
    ['H', 'b'],
  ]);
});

test('a block longer than a page is cut, and says again what it is', () => {
  const pages = layOut([block('1 2 3 4 5 6 7 8', { continued: 'more' })], form);
  expect(pages.map((page) => page.slice(0, 4))).toEqual([
    ['1', '2', '3', '4'],
    ['more', '5', '6', '7'],
    ['more', '8', '', ''],
  ]);
  const headed = layOut([block('H', { withNext: true }), block('1 2 3 4 5', { continued: 'more' })], form);
  expect(headed.map((page) => page.slice(0, 4))).toEqual([
    ['H', '1', '2', '3'],
    ['more', '4', '5', ''],
  ]);
});

test('headings without anything below them are not lost', () => {
  expect(layOut([block('a'), block('H', { withNext: true })], form)[0]?.slice(0, 2)).toEqual(['a', 'H']);
});
