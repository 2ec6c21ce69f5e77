// What the record knows of cards, by hand; and over random histories against a judge that asks the entries anew for each
// card instead of going through them once.

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Entry } from '../../../src/ports/record-store.ts';
import { nextCardName, readCardName } from '../../../src/record/card-name.ts';
import { type EntryBodies, type KnownEntry, knownEntry } from '../../../src/record/entry.ts';
import { cardNamed, knownCards as cardsOf } from '../../../src/record/known-cards.ts';
import { chainOf, day, newYear } from '../../support/entries.ts';
import { checkSeeded } from '../../support/seeded.ts';

const knownCards = (entries: readonly Entry[]) =>
  cardsOf(entries.map(knownEntry).filter((known): known is KnownEntry => known !== undefined));
const prepared = (card: string, more: Partial<EntryBodies['card-prepared']> = {}) => ({
  card,
  release: 'rill-40@4.2.0',
  verdict: 'ready' as const,
  file: { path: 'RILL40.FWU', bytes: 1, sha256: 'ab'.repeat(32) },
  readBack: { method: 'direct' as const, sha256: 'ab'.repeat(32) },
  sizeBytes: 8e9,
  fresh: true,
  kept: 0,
  removed: 0,
  ...more,
});
const outcome = (serial: string, card: string) =>
  ({ serial, outcome: 'updated', evidence: 'lights', card }) as const;
const at = (days: number) => newYear + days * day;

describe('a card', () => {
  test('is known from its newest preparation on: looks and uses before it do not count', () => {
    const { add, entries } = chainOf('kf');
    add('card-prepared', prepared('KF-01', { release: 'rill-40@4.0.0' }), at(1));
    add('outcome', outcome('TR1', 'KF-01'), at(2));
    add('card-checked', { card: 'KF-01', verdict: 'fixable', stops: ['stray-file'] }, at(3));
    add('card-prepared', prepared('KF-01'), at(4));
    add('outcome', outcome('TR2', 'KF-01'), at(5));
    add('outcome', outcome('TR3', 'KF-01'), at(6));
    add('card-checked', { card: 'KF-01', release: 'rill-40@4.2.0', verdict: 'ready', stops: [] }, at(7));
    expect(knownCards(entries)).toMatchObject([
      {
        card: 'KF-01',
        prepared: { release: 'rill-40@4.2.0', atMs: at(4), by: 'M. Tansy' },
        checked: { verdict: 'ready', atMs: at(7) },
        uses: [
          { serial: 'TR2', atMs: at(5) },
          { serial: 'TR3', atMs: at(6) },
        ],
        retired: null,
      },
    ]);
  });

  test('looked at for no release is in hand, and what a look for its release said still stands', () => {
    const { add, entries } = chainOf('kf');
    add('card-prepared', prepared('KF-01'), at(1));
    add(
      'card-checked',
      { card: 'KF-01', release: 'rill-40@4.2.0', verdict: 'fixable', stops: ['litter'] },
      at(2),
    );
    add('card-checked', { card: 'KF-01', verdict: 'sound', stops: [] }, at(3));
    expect(knownCards(entries)).toMatchObject([{ checked: { verdict: 'fixable' }, seenMs: at(3) }]);
  });

  test('that tells itself is the same under another name', () => {
    const { add, entries } = chainOf('kf');
    add('card-prepared', prepared('KF-01', { cardId: 'AAAA-BBBB' }), at(1));
    add('card-prepared', prepared('KF-02', { cardId: 'CCCC-DDDD' }), at(1.5));
    add('card-prepared', prepared('BLUE', { cardId: 'AAAA-BBBB' }), at(2));
    expect(knownCards(entries).map(({ card }) => card)).toEqual(['BLUE', 'KF-02']);
  });

  test('comes back when it is prepared again after it was retired', () => {
    const { add, entries } = chainOf('kf');
    add('card-prepared', prepared('KF-01'), at(1));
    add('card-retired', { card: 'KF-01', why: 'lost' }, at(2));
    expect(knownCards(entries)).toMatchObject([{ retired: { why: 'lost', atMs: at(2) } }]);
    add('card-prepared', prepared('KF-01'), at(3));
    expect(knownCards(entries)).toMatchObject([{ retired: null }]);
  });

  test('that nobody prepared on record is not known', () => {
    const { add, entries } = chainOf('kf');
    add('card-checked', { card: 'KF-01', verdict: 'ready', stops: [] }, at(1));
    add('outcome', outcome('TR1', 'KF-01'), at(2));
    expect(knownCards(entries)).toEqual([]);
  });
});

test('a card image file is meant by the last part of its path where only one ends so', () => {
  const cards = [
    { card: '/a/one.img' },
    { card: '/b/one.img' },
    { card: 'C:\\x\\two.img' },
    { card: 'KF-01' },
  ];
  expect(cardNamed(cards, 'two.img')).toBe(cards[2]);
  expect(cardNamed(cards, 'one.img')).toBeUndefined();
  expect(cardNamed(cards, '/b/one.img')).toBe(cards[1]);
  expect(cardNamed(cards, 'KF-01')).toBe(cards[3]);
  expect(cardNamed(cards, '')).toBeUndefined();
});

describe('names', () => {
  test.each(['KF-03', 'A', 'BLUE', '7', 'A1B2C3D4E5F6'])('%s', (name) => {
    expect(readCardName(` ${name.toLowerCase()} `)).toBe(name);
  });
  test.each(['', '-A', 'A-', 'A B', 'ÄÖ', 'A1B2C3D4E5F67', '../X', 'A.IMG', '\u001b[2J'])(
    'not %j',
    (name) => {
      expect(readCardName(name)).toBeUndefined();
    },
  );
  test('the next one is free, and begins as the laptop does', () => {
    expect(nextCardName('kfx23456', new Set())).toBe('KF-01');
    expect(nextCardName('kfx23456', new Set(['KF-01', 'KF-03', 'AB-02']))).toBe('KF-02');
    const many = new Set(Array.from({ length: 99 }, (_, i) => `KF-${String(i + 1).padStart(2, '0')}`));
    expect(nextCardName('kfx23456', many)).toBe('KF-100');
    expect(readCardName('KF-100')).toBe('KF-100');
  });
});

/** Each card by itself, from all entries in order of time. */
function judged(entries: readonly Entry[]) {
  const ordered = [...entries].sort((a, b) => a.claimedMs - b.claimedMs || a.seq - b.seq);
  const names = new Set(
    ordered.filter(({ kind }) => kind === 'card-prepared').map(({ body }) => String(body.card)),
  );
  return [...names].map((name) => {
    const mine = ordered.filter(({ body }) => body.card === name);
    const from = mine.findLastIndex(({ kind }) => kind === 'card-prepared');
    const since = mine.slice(from);
    const last = (kind: string) => since.findLast((entry) => entry.kind === kind);
    return {
      card: name,
      preparedMs: since[0]?.claimedMs,
      checkedMs: last('card-checked')?.claimedMs ?? null,
      uses: since.filter(({ kind }) => kind === 'outcome').map(({ body }) => body.serial),
      retired: last('card-retired') !== undefined,
    };
  });
}

test('random histories: one way through, and card by card', async () => {
  const name = fc.constantFrom('KF-01', 'KF-02', 'BLUE');
  const event = fc.tuple(fc.constantFrom('prepare', 'check', 'use', 'retire'), name, fc.nat(40));
  let mostUses = 0;
  await checkSeeded(
    'tests/unit/record/known-cards.test.ts',
    150,
    fc.property(fc.array(event, { maxLength: 30, size: 'max' }), (events) => {
      const { add, entries } = chainOf('kf');
      for (const [what, card, days] of events) {
        if (what === 'prepare') add('card-prepared', prepared(card), at(days));
        if (what === 'check')
          add('card-checked', { card, release: 'rill-40@4.2.0', verdict: 'ready', stops: [] }, at(days));
        if (what === 'use') add('outcome', outcome(`TR${days}`, card), at(days));
        if (what === 'retire') add('card-retired', { card, why: 'worn' }, at(days));
      }
      const known = knownCards(entries).map(({ card, prepared, checked, uses, retired }) => ({
        card,
        preparedMs: prepared.atMs,
        checkedMs: checked?.atMs ?? null,
        uses: uses.map(({ serial }) => serial),
        retired: retired !== null,
      }));
      mostUses = Math.max(mostUses, ...known.map(({ uses }) => uses.length), 0);
      const byName = (a: { card: string }, b: { card: string }) => (a.card < b.card ? -1 : 1);
      expect(known.sort(byName)).toEqual(judged(entries).sort(byName));
    }),
  );
  expect(mostUses).toBeGreaterThan(1);
});
