// Both sides of each limit, and what is no doubt at all.
import { expect, test } from 'vitest';
import { checkChain } from '../../../src/record/check-chain.ts';
import type { Finding } from '../../../src/words/finding.ts';
import { type ChainOf, chainOf, day, newYear } from '../../support/entries.ts';

const minute = 60_000;
const note = { text: 'x' };

function findingsOf(...chains: ChainOf[]): Finding[] {
  const stored = chains.flatMap((chain) => chain.stored);
  return [...checkChain(stored, { ends: chains.map((chain) => chain.stored.at(-1)!), known: [] })];
}
const codesOf = (...chains: ChainOf[]) =>
  findingsOf(...chains).map(({ code, severity }) => `${severity} ${code}`);

test.each([
  [minute, []],
  [minute + 1, ['warn clock-went-back']],
])('a clock put back by %d milliseconds', (backMs, codes) => {
  const chain = chainOf('aaaaaaaa');
  chain.add('note', note, newYear, newYear + day);
  chain.add('note', note, newYear, newYear + day - backMs);
  expect(codesOf(chain)).toEqual(codes);
});

test('each step back counts, the first is named, and other chains have clocks of their own', () => {
  const [a, b] = [chainOf('aaaaaaaa'), chainOf('bbbbbbbb')];
  for (const days of [3, 5, 4, 2, 6]) a.add('note', note, newYear + 2 * day, newYear + days * day);
  b.add('note', note, newYear + day, newYear + day);
  expect(findingsOf(a, b)).toMatchObject([
    {
      code: 'clock-went-back',
      summary: 'The clock of this laptop was put back, 2 times.',
      seen: 'written 2026-01-05 00:00 +00:00, after one of 2026-01-06 00:00 +00:00',
      where: 'aaaaaaaa-3',
    },
  ]);
});

test.each([
  [10 * minute, []],
  [10 * minute + 1, ['warn claimed-ahead']],
])('claimed %d milliseconds ahead of being written', (aheadMs, codes) => {
  const chain = chainOf('aaaaaaaa');
  chain.add('note', note, newYear + aheadMs, newYear);
  expect(codesOf(chain)).toEqual(codes);
});

test.each([
  [14 * day, []],
  [14 * day + 1, ['note claimed-late']],
])('written %d milliseconds after what it tells', (lateMs, codes) => {
  const chain = chainOf('aaaaaaaa');
  chain.add('note', note, newYear, newYear + lateMs);
  expect(codesOf(chain)).toEqual(codes);
});

test('a date from a table, and the time of a corrected entry, are old by their nature', () => {
  const chain = chainOf('aaaaaaaa');
  const serial = 'TRB00000018';
  chain.add(
    'version-seen',
    { serial, version: '1', evidence: 'reported', dated: true },
    newYear,
    newYear + 90 * day,
  );
  const corrects = { id: 'aaaaaaaa-1', hash: chain.stored[0]!.hash };
  chain.add(
    'correction',
    { serial, corrects, kind: 'version-seen', why: 'x', void: true },
    newYear,
    newYear + 99 * day,
  );
  expect(codesOf(chain)).toEqual([]);
  chain.add(
    'version-seen',
    { serial, version: '1', evidence: 'read', dated: true },
    newYear,
    newYear + 100 * day,
  );
  expect(codesOf(chain)).toEqual(['note claimed-late']);
});
