// Every kind of damage, planted one at a time in a sound pair of chains, must be told by its code.
import { expect, test } from 'vitest';
import { sha256Hex } from '../../../src/bytes/sha256.ts';
import type { StoredEntry } from '../../../src/ports/record-rules.ts';
import type { Mark } from '../../../src/ports/record-store.ts';
import { checkChain } from '../../../src/record/check-chain.ts';
import { chainOf, newYear } from '../../support/entries.ts';

const serial = 'TRB00000018';

function twoChains(): StoredEntry[] {
  const chains = ['aaaaaaaa', 'bbbbbbbb'].map((laptop) => {
    const chain = chainOf(laptop);
    for (let i = 0; i < 4; i++) chain.add('unit-retired', { serial, why: `${laptop} ${i}` }, newYear + i);
    return chain.stored;
  });
  return chains.flat();
}

const endsOf = (rows: readonly StoredEntry[]): Mark[] =>
  ['aaaaaaaa', 'bbbbbbbb'].map((laptop) => rows.findLast((row) => row.laptop === laptop)!);

const sound = twoChains();
const ends = endsOf(sound);

function codes(
  rows: readonly StoredEntry[],
  marks: { ends?: readonly Mark[]; known?: readonly Mark[] } = {},
): string[] {
  return [...checkChain(rows, { ends: marks.ends ?? ends, known: marks.known ?? [] })].map(
    ({ code }) => code,
  );
}

const withRow = (at: number, change: Partial<StoredEntry>) =>
  sound.map((row, index) => (index === at ? { ...row, ...change } : row));

test('sound chains have no findings', () => {
  expect(codes(sound)).toEqual([]);
  expect(codes(sound, { known: [sound[1]!, { ...sound[6]!, hash: sound[6]!.hash.slice(0, 16) }] })).toEqual(
    [],
  );
  expect(codes([], { ends: [] })).toEqual([]);
});

test('a changed text is told, even where its hash was made to fit', () => {
  const text = sound[1]!.text.replace('aaaaaaaa 1', 'aaaaaaaa 9');
  expect(codes(withRow(1, { text }))).toEqual(['entry-altered', 'previous-differs']);
  expect(codes(withRow(1, { text, hash: sha256Hex(text) }))).toEqual(['previous-differs']);
  const last = sound[3]!.text.replace('aaaaaaaa 3', 'aaaaaaaa 9');
  expect(codes(withRow(3, { text: last, hash: sha256Hex(last) }))).toEqual(['mark-differs']);
});

test('a text that is no entry, or not in the form that is hashed', () => {
  expect(codes(withRow(3, { text: 'x' }))).toContain('entry-unreadable');
  const spaced = JSON.stringify(JSON.parse(sound[3]!.text), null, 1);
  expect(codes(withRow(3, { text: spaced, hash: sha256Hex(spaced) }))).toContain('entry-not-canonical');
});

test.each([
  ['hash', 'ff'.repeat(32), 'entry-altered'],
  ['kind', 'outcome', 'column-differs'],
  ['serial', 'TRB00000026', 'column-differs'],
  ['serial', null, 'column-differs'],
  ['claimedMs', newYear - 1, 'column-differs'],
  ['writtenMs', newYear - 1, 'column-differs'],
])('a changed column: %s to %s', (column, value, code) => {
  expect(codes(withRow(1, { [column]: value }))).toEqual([code]);
});

test('removed from the middle, from the beginning, from the end', () => {
  expect(codes(sound.filter((_, at) => at !== 1))).toEqual(['entry-missing']);
  expect(codes(sound.filter((_, at) => at !== 0))).toEqual(['entry-missing']);
  expect(codes(sound.filter((_, at) => at !== 3))).toEqual(['tail-missing']);
  expect(codes(sound.filter(({ laptop }) => laptop !== 'aaaaaaaa'))).toEqual(['tail-missing']);
});

test('repeated, or swapped and renumbered', () => {
  expect(codes([...sound.slice(0, 2), sound[1]!, ...sound.slice(2)])).toEqual(['entry-repeated']);
  const swapped = [...sound];
  [swapped[1], swapped[2]] = [
    { ...sound[2]!, seq: 2 },
    { ...sound[1]!, seq: 3 },
  ];
  expect(codes(swapped)).toContain('column-differs');
  expect(codes(swapped)).toContain('previous-differs');
});

test('moved to another laptop', () => {
  const moved = [...sound.slice(0, 3), ...sound.slice(4), { ...sound[3]!, laptop: 'bbbbbbbb', seq: 5 }];
  expect(codes(moved)).toEqual([
    'tail-missing',
    'column-differs',
    'column-differs',
    'previous-differs',
    'mark-differs',
  ]);
});

test('a tail that was cut together with its own note is told by a mark from a sheet', () => {
  const cut = sound.filter((row) => row.laptop !== 'aaaaaaaa' || row.seq <= 2);
  expect(codes(cut, { ends: endsOf(cut) })).toEqual([]);
  expect(codes(cut, { ends: endsOf(cut), known: [sound[3]!] })).toEqual(['tail-missing']);
  expect(codes(cut, { ends: endsOf(cut), known: [{ ...sound[3]!, laptop: 'cccccccc' }] })).toEqual([
    'tail-missing',
  ]);
  const other = chainOf('aaaaaaaa');
  for (let i = 0; i < 4; i++) other.add('unit-retired', { serial, why: 'made anew' }, newYear);
  const anew = [...other.stored, ...sound.slice(4)];
  expect(codes(anew, { ends: endsOf(anew) })).toEqual([]);
  expect(codes(anew, { ends: endsOf(anew), known: [sound[1]!] })).toEqual(['mark-differs']);
});

test("the store's own notes of the ends", () => {
  expect(codes(sound, { ends: [ends[1]!] })).toEqual(['mark-missing']);
  expect(codes(sound, { ends: [{ ...ends[0]!, seq: 3 }, ends[1]!] })).toEqual(['mark-differs']);
  expect(codes(sound, { ends: [{ ...ends[0]!, hash: 'ff'.repeat(32) }, ends[1]!] })).toEqual([
    'mark-differs',
  ]);
  expect(codes(sound, { ends: [...ends, { laptop: 'cccccccc', seq: 1, hash: 'ff'.repeat(32) }] })).toEqual([
    'tail-missing',
  ]);
});

test('every finding names the entry and one next step', () => {
  const findings = [...checkChain(withRow(1, { kind: 'outcome' }), { ends, known: [] })];
  expect(findings).toMatchObject([
    { severity: 'stop', where: 'aaaaaaaa-2', seen: 'outcome', expected: 'unit-retired' },
  ]);
  expect(findings[0]!.next).not.toBe('');
});

test('kinds that are not known are a warning, no damage', () => {
  const strange = chainOf('aaaaaaaa');
  strange.add('unit-retired', { serial }, newYear);
  const text = strange.stored[0]!.text.replace('"kind":"unit-retired"', '"kind":"recalled"');
  const row = { ...strange.stored[0]!, kind: 'recalled', text, hash: sha256Hex(text) };
  const findings = [...checkChain([row], { ends: [row], known: [] })];
  expect(findings).toMatchObject([{ code: 'kind-unknown', severity: 'warn', seen: 'recalled' }]);
});

test('hostile text in a row is made fit to print', () => {
  const row = { ...sound[0]!, laptop: '\u001b[31mred', text: '\u001b[2J' };
  for (const finding of checkChain([row], { ends: [], known: [] })) {
    expect(JSON.stringify(finding)).not.toMatch(/\\u001b/);
  }
});
