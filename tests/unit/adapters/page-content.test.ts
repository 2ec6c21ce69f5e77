// Ink in PDF's own operators, against lines worked out by hand from ISO 32000-1, 8.5 and 9.4.

import { expect, test } from 'vitest';
import { pageContent } from '../../../src/adapters/pdf/page-content.ts';
import type { Ink } from '../../../src/ports/pdf-press.ts';

const letters = {
  nameOf: (face: string) => (face === 'bold' ? 'F2' : 'F1'),
  codeOf: (character: string) => character.codePointAt(0)!.toString(16).padStart(4, '0'),
};
const lines = (...inks: Ink[]) => pageContent(inks, 800, letters).split('\n');
const text = (more: Partial<Ink & { kind: 'text' }> = {}): Ink => ({
  kind: 'text',
  xPt: 10,
  baselinePt: 30,
  text: 'Ab',
  face: 'plain',
  sizePt: 9,
  ...more,
});

test('text stands that far from the top, in its face and size, each set once', () => {
  expect(lines(text(), text({ xPt: 12.34567, text: 'c' }), text({ face: 'bold', sizePt: 8.5 }))).toEqual([
    '0 0 0 rg',
    'BT /F1 9 Tf 10 770 Td <00410062> Tj ET',
    'BT 12.346 770 Td <0063> Tj ET',
    'BT /F2 8.5 Tf 10 770 Td <00410062> Tj ET',
  ]);
});

test('nothing that a text holds is an operator', () => {
  expect(lines(text({ text: ') Tj ET\n(' }))[1]).toBe(
    'BT /F1 9 Tf 10 770 Td <002900200054006a002000450054000a0028> Tj ET',
  );
});

test('lines are stroked', () => {
  expect(lines({ kind: 'line', fromPt: [1, 2], toPt: [3, 4], strokePt: 0.5 })).toEqual([
    '0.5 w',
    '1 798 m 3 796 l S',
  ]);
});

test('boxes are stroked, filled, or both; their lower left corner counts', () => {
  const box = { kind: 'box', xPt: 10, yPt: 20, widthPt: 30, heightPt: 40 } as const;
  expect(lines({ ...box, fill: null, strokePt: 1 })).toEqual(['1 w', '10 740 30 40 re S']);
  expect(lines({ ...box, fill: '#ff0080', strokePt: 0 })).toEqual(['1 0 0.502 rg', '10 740 30 40 re f']);
  expect(lines({ ...box, fill: '#ffffff', strokePt: 1 })).toEqual(['1 1 1 rg', '1 w', '10 740 30 40 re B']);
});

test('text after a box of a colour is black again', () => {
  const box = { kind: 'box', xPt: 0, yPt: 0, widthPt: 1, heightPt: 1, fill: '#ff0000', strokePt: 0 } as const;
  expect(lines(text(), box, text()).filter((line) => line.endsWith('rg'))).toEqual([
    '0 0 0 rg',
    '1 0 0 rg',
    '0 0 0 rg',
  ]);
});
