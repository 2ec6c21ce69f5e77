// The search by leaps against a look at every serial, on registers of all sorts; how little of a large one it asks for; and
// the same through the record's own index.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { byCodePoints, nearSerials, nearSerialsAmong } from '../../../src/fleet/near-serials.ts';
import { draftEntry } from '../../../src/record/entry.ts';
import { nearByForce } from '../../support/near-serials-judge.ts';
import { checkSeeded } from '../../support/seeded.ts';
import { sqlitePlace } from '../../support/sqlite-place.ts';

const file = 'tests/unit/fleet/near-serials.test.ts';
/**
 * Few characters, so that near ones are many; with capitals, and at both ends of the code. None whose capital is two
 * characters, and none that UTF-16 writes as two: the judge would count those twice.
 */
const character = fc.constantFrom('A', 'a', 'B', '1', '2', 'ä', 'Ä', '-', '\u0001', '\uffff');
const word = fc.oneof(
  fc.string({ unit: character, maxLength: 4 }),
  fc.string({ unit: fc.constantFrom('A', 'a', '1'), maxLength: 6 }),
);

test('finds what a look at every serial finds, in the same order', async () => {
  let found = 0;
  await checkSeeded(
    file,
    1500,
    fc.property(
      word,
      fc.uniqueArray(word, { maxLength: 40 }),
      fc.constantFrom(1, 3, 999),
      (typed, known, limit) => {
        const near = nearSerialsAmong(typed, [...known].sort(byCodePoints), limit);
        expect(near).toEqual(nearByForce(typed, known, limit));
        found += near.length;
      },
    ),
  );
  expect(found).toBeGreaterThan(500);
});

test('a serial that is left out, or is not near, would be told', () => {
  for (const wrong of [
    (near: string[]) => near.slice(1),
    (near: string[]) => [...near, 'AB12AB12'],
    (near: string[]) => [...near].reverse(),
  ]) {
    const told = fc.check(
      fc.property(word, fc.uniqueArray(word, { maxLength: 40 }), (typed, known) => {
        const near = wrong(nearSerialsAmong(typed, [...known].sort(byCodePoints)));
        return near.join() === nearByForce(typed, known).join();
      }),
    );
    expect(told.failed).toBe(true);
  }
});

test('of a hundred thousand serials it asks for a thousand or so, whatever was typed', async () => {
  const known = Array.from({ length: 100_000 }, (_, at) => `TB81${String(at * 7).padStart(8, '0')}`);
  const typed = ['TB8100001234', 'tb8100000007', 'TB810000070', 'XX', 'TB81000000700', 'Z'.repeat(64), '8'];
  for (const text of typed) {
    let asked = 0;
    const near = await nearSerials(text, async (texts) => {
      asked += texts.length;
      return texts.map((from) => known[Math.max(0, Math.ceil(placeOf(from)))] ?? null);
    });
    expect(near, text).toEqual(nearByForce(text, known));
    expect(asked, text).toBeLessThan(text.length === 64 ? 4000 : 1500);
  }

  /** By halving: where a text would stand. */
  function placeOf(text: string): number {
    let [from, to] = [0, known.length];
    while (from < to) {
      const middle = (from + to) >>> 1;
      if ((known[middle] ?? '') < text) from = middle + 1;
      else to = middle;
    }
    return from;
  }
});

test('through the index of a record', async () => {
  const place = sqlitePlace();
  try {
    const store = place.open('write');
    const known = ['TRB10000008', 'TRB10000016', 'TRC10000008', 'k1234', 'K99', 'ä1', '\u{1f50b}1'];
    const signature = { claimedAt: '2026-11-01T08:00:00.000+00:00', typedBy: 'R. Quill' };
    const body = { product: 'rill-40', hardware: null, site: null, details: {} };
    await store.append(known.map((serial) => draftEntry('unit-added', signature, { ...body, serial })));
    // The judge counts what UTF-16 writes as two as two: another sign stands for it there.
    const judged = (text: string) => text.replaceAll('\u{1f50b}', '\ue001');
    for (const typed of ['TRB10000018', 'TRA10000008', 'K1234', 'k12345', 'Ä1', 'a1', '1', '\0K99', '']) {
      const near = await nearSerials(typed, (texts) => store.serialsFrom(texts));
      expect(near.map(judged), typed).toEqual(nearByForce(typed, known.map(judged)));
    }
  } finally {
    place.remove();
  }
});
