import { expect, test } from 'vitest';
import type { Entry } from '../../../src/ports/record-store.ts';
import { asCorrected } from '../../../src/record/as-corrected.ts';
import type { EntryBodies } from '../../../src/record/entry.ts';
import { bodyFault } from '../../../src/record/entry-schema.ts';
import { entryText } from '../../../src/record/entry-text.ts';
import { foldUnit } from '../../../src/record/fold-unit.ts';
import { chainOf, day, newYear } from '../../support/entries.ts';

const serial = 'TRB00000018';
const read = (versionRead: string): EntryBodies['outcome'] => ({
  serial,
  outcome: 'updated',
  evidence: 'read',
  versionRead,
});

function correcting(entry: Entry, body?: EntryBodies['outcome']): EntryBodies['correction'] {
  return {
    serial,
    corrects: { id: entry.id, hash: entry.hash },
    kind: entry.kind,
    why: 'misread',
    ...(body === undefined ? { void: true } : { body: { ...body } as never, bodyVersion: 1 }),
  };
}

/** Registered on the first day, an outcome on the third. */
function logged() {
  const chain = chainOf('mmmmmmmm');
  chain.add(
    'unit-added',
    { serial, product: 'rill-40', hardware: 'B', site: 'Alder Farm', details: {} },
    newYear,
  );
  return { chain, outcome: chain.add('outcome', read('4.2.0'), newYear + 2 * day) };
}

test('a correction takes the place of its entry, at its time and under its id', () => {
  const { chain, outcome } = logged();
  chain.add('correction', correcting(outcome, read('4.0.0')), outcome.claimedMs);
  const unit = foldUnit(chain.entries);
  expect(unit?.version).toMatchObject({ version: '4.0.0', atMs: newYear + 2 * day });
  expect(unit?.lastOutcome).toMatchObject({ entryId: outcome.id, versionRead: '4.0.0' });
  expect(foldUnit(chain.entries, newYear + day)?.version).toBeNull();
});

test('an entry made void does not count, and comes back with a later correction', () => {
  const { chain, outcome } = logged();
  chain.add('correction', correcting(outcome), outcome.claimedMs);
  expect(foldUnit(chain.entries)).toMatchObject({ version: null, lastOutcome: null, newestMs: newYear });
  chain.add('correction', correcting(outcome, read('4.2.0')), outcome.claimedMs);
  expect(foldUnit(chain.entries)?.version).toMatchObject({ version: '4.2.0' });
});

test('a unit whose registration is void is not registered', () => {
  const { chain } = logged();
  chain.add('correction', correcting(chain.entries[0]!), newYear);
  expect(foldUnit(chain.entries)).toBeUndefined();
});

test('a wrong time is corrected by the time that the correction claims', () => {
  const { chain, outcome } = logged();
  chain.add('correction', correcting(outcome, read('4.2.0')), newYear + day);
  expect(foldUnit(chain.entries)?.version).toMatchObject({ atMs: newYear + day });
  expect(foldUnit(chain.entries, newYear + day + 1)?.version).toMatchObject({ version: '4.2.0' });
});

test.each([
  ['the latest written wins', ['aaaaaaaa', 9], ['zzzzzzzz', 5], '1'],
  ['of equal ones that of the later laptop', ['aaaaaaaa', 5], ['zzzzzzzz', 5], '2'],
] as const)('of rivals %s, in any order', (_, [laptopA, writtenA], [laptopB, writtenB], wins) => {
  const { chain, outcome } = logged();
  const [a, b] = [chainOf(laptopA), chainOf(laptopB)];
  const at = (n: number) => newYear + 500 * day + n;
  a.add('correction', correcting(outcome, read('1')), outcome.claimedMs, at(writtenA));
  b.add('correction', correcting(outcome, read('2')), outcome.claimedMs, at(writtenB));
  for (const all of [
    [...a.entries, ...b.entries, ...chain.entries],
    [...chain.entries, ...b.entries, ...a.entries],
  ]) {
    expect(foldUnit(all)?.version?.version).toBe(wins);
  }
});

test('of one laptop and one instant the later in its chain wins', () => {
  const { chain, outcome } = logged();
  const a = chainOf('aaaaaaaa');
  for (const version of ['1', '2', '3'])
    a.add('correction', correcting(outcome, read(version)), newYear, newYear);
  expect(foldUnit([...a.entries.reverse(), ...chain.entries])?.version?.version).toBe('3');
});

test.each([
  ['another hash', { corrects: { id: 'mmmmmmmm-2', hash: 'ab'.repeat(32) } }],
  ['another kind', { kind: 'version-seen' }],
  ['another unit', { serial: 'TRB00000026' }],
  ['a body of another unit', { body: { ...read('9.9.9'), serial: 'TRB00000026' } as never }],
])('a correction that names %s does not count', (_, wrong) => {
  const { chain, outcome } = logged();
  chain.add('correction', { ...correcting(outcome, read('4.0.0')), ...wrong }, outcome.claimedMs);
  expect(asCorrected(chain.entries)).toEqual(chain.entries.slice(0, 2));
});

test('a correction of a correction does not count: the newest of the entry says it all', () => {
  const { chain, outcome } = logged();
  const first = chain.add('correction', correcting(outcome, read('4.0.0')), outcome.claimedMs);
  chain.add('correction', { ...correcting(first), kind: 'correction' }, outcome.claimedMs);
  expect(foldUnit(chain.entries)?.version?.version).toBe('4.0.0');
});

test('a body of a version that is not known is not added up', () => {
  const { chain, outcome } = logged();
  chain.add('correction', { ...correcting(outcome, read('4.0.0')), bodyVersion: 2 }, outcome.claimedMs);
  expect(foldUnit(chain.entries)?.version).toBeNull();
});

test('the form of a correction, and of what it says instead', () => {
  const { outcome } = logged();
  const right = correcting(outcome, read('4.0.0'));
  expect(bodyFault('correction', right)).toBeUndefined();
  expect(bodyFault('correction', correcting(outcome))).toBeUndefined();
  for (const [wrong, says] of [
    [{ ...right, void: true }, 'either'],
    [{ ...correcting(outcome), void: undefined }, 'void'],
    [{ ...correcting(outcome), bodyVersion: 1 }, 'go together'],
    [{ ...right, body: { ...read('4.0.0'), outcome: 'perhaps' } }, 'outcome'],
    [{ ...right, why: '' }, 'why'],
  ] as const) {
    expect(bodyFault('correction', wrong), says).toContain(says);
  }
  expect(bodyFault('correction', { ...right, body: { serial, odd: 1 }, bodyVersion: 9 })).toBeUndefined();
});

test('as people read it', () => {
  const { chain, outcome } = logged();
  const said = chain.add('correction', correcting(outcome, read('4.0.0')), outcome.claimedMs);
  expect(entryText(said)).toBe(`${outcome.id} is corrected: updated, version read 4.0.0, because: misread`);
  const gone = chain.add('correction', correcting(outcome), outcome.claimedMs);
  expect(entryText(gone)).toBe(`${outcome.id} does not count, because: misread`);
});
