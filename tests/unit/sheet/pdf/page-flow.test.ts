import { expect, test } from 'vitest';
import { flowOnPages, type PageBlock } from '../../../../src/sheet/pdf/page-flow.ts';
import type { Slab } from '../../../../src/sheet/pdf/slab.ts';
import { Failure } from '../../../../src/words/failure.ts';

const named = new Map<Slab, string>();
/** `a30`: a slab called a, 30 points high. */
function slab(text: string): Slab {
  const made = { heightPt: Number(text.slice(1)), inkAt: () => [] };
  named.set(made, text);
  return made;
}
const block = (slabs: string, more: Partial<PageBlock> = {}): PageBlock => ({
  slabs: slabs.split(' ').map(slab),
  ...more,
});
const flow = (...blocks: PageBlock[]) =>
  flowOnPages(blocks, 100).map((page) => page.map((at) => `${named.get(at.slab)}@${at.topPt}`).join(' '));

test('blocks stand one below the other, the room above each only where something stands above', () => {
  expect(flow(block('a30', { abovePt: 5 }), block('b30 c10', { abovePt: 5 }))).toEqual([
    'a30@0 b30@35 c10@65',
  ]);
});

test('a block that does not fit goes to the next page whole; one that just fits stays', () => {
  expect(flow(block('a60'), block('b30 c10'))).toEqual(['a60@0 b30@60 c10@90']);
  expect(flow(block('a60'), block('b30 c11'))).toEqual(['a60@0', 'b30@0 c11@30']);
  expect(flow(block('a60'), block('b40', { abovePt: 1 }))).toEqual(['a60@0', 'b40@0']);
});

test('a heading goes with what it heads, and headings with headings', () => {
  const head = (text: string) => block(text, { withNext: true });
  expect(flow(block('a70'), head('h10'), block('b30'))).toEqual(['a70@0', 'h10@0 b30@10']);
  expect(flow(block('a70'), head('h10'), head('i10'), block('b15'))).toEqual([
    'a70@0',
    'h10@0 i10@10 b15@20',
  ]);
  expect(flow(block('a70'), head('h10'))).toEqual(['a70@0 h10@70']);
});

test('a block higher than a page is parted between its slabs, its head said again', () => {
  expect(flow(block('a40'), block('b60 c60 d60', { continued: slab('t5') }))).toEqual([
    'a40@0 b60@40',
    't5@0 c60@5',
    't5@0 d60@5',
  ]);
  expect(flow(block('h10', { withNext: true }), block('b50 c50 d20'))).toEqual([
    'h10@0 b50@10',
    'c50@0 d20@50',
  ]);
  expect(flow(block('h10', { withNext: true }), block('b95 c50'))).toEqual(['h10@0', 'b95@0', 'c50@0']);
});

test('a slab higher than a page is refused, never cut', () => {
  expect(() => flow(block('a101'))).toThrow(Failure);
  expect(() => flow(block('a50'), block('b20 c101'))).toThrow('longer than a page');
});

test('a new page where it is asked for, and no empty page for it; some never on the first', () => {
  expect(flow(block('a10', { newPage: true }), block('b10', { newPage: true }))).toEqual(['a10@0', 'b10@0']);
  expect(flow(block('a10'), block('h10', { withNext: true, notFirst: true }), block('b10'))).toEqual([
    'a10@0',
    'h10@0 b10@10',
  ]);
  expect(flow(block('a90'), block('b90'), block('c10', { notFirst: true }))).toEqual([
    'a90@0',
    'b90@0 c10@90',
  ]);
});
