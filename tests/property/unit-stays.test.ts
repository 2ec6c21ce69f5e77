// Where units stood, against what their entries add up to step by step, and the units that left a site, against a walk
// through every unit there is.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { formerUnits } from '../../src/commands/site-history.ts';
import type { Entry, EntryQuery } from '../../src/ports/record-store.ts';
import { asCorrected } from '../../src/record/as-corrected.ts';
import { inClaimedOrder } from '../../src/record/entry-order.ts';
import { foldUnit } from '../../src/record/fold-unit.ts';
import { unitStays } from '../../src/record/unit-stays.ts';
import { correctedEntries, randomEntries, registerEntries } from '../support/random-entries.ts';
import { checkSeeded } from '../support/seeded.ts';

const file = 'tests/property/unit-stays.test.ts';
const serials = ['A', 'B', 'C'];
const ofUnit = (all: readonly Entry[], serial: string) => all.filter(({ body }) => body.serial === serial);

/** What the entries add up to after each of them, in order; undefined as long as none registers the unit. */
function steps(entries: readonly Entry[]) {
  const ordered = inClaimedOrder(asCorrected(entries));
  return ordered.map((entry, at) => ({ entry, unit: foldUnit(ordered.slice(0, at + 1)) }));
}

/** The site, and since when, each time that it is another or the unit comes back; nothing while it is not registered. */
function judgedStays(entries: readonly Entry[]): [site: string | null, sinceMs: number][] {
  const stays: [string | null, number][] = [];
  let before: { site: string | null; retired: boolean } | undefined;
  for (const { entry, unit } of steps(entries)) {
    if (unit === undefined) continue;
    const isOther = before === undefined || before.site !== unit.site || (before.retired && !unit.retired);
    if (isOther) stays.push([unit.site, entry.claimedMs]);
    before = unit;
  }
  return stays;
}

test.each([
  ['any entries', randomEntries],
  ['entries of the register', registerEntries],
  ['entries corrected over and over', correctedEntries],
])(
  'the stays of a unit are the sites that its entries add up to, one after another: %s',
  async (_, entries) => {
    await checkSeeded(
      file,
      400,
      fc.property(entries, (all) => {
        for (const serial of serials) {
          const some = ofUnit(all, serial);
          const stays = unitStays(some);
          const registered = steps(some).find(({ unit }) => unit !== undefined)?.entry;
          const judged = judgedStays(some);
          if (registered === undefined) {
            expect(judged).toEqual([]);
            continue;
          }
          // Before it was registered anybody may have said something of it: that is told, and judged by nobody here.
          const from = judged.length === 0 ? [] : stays.slice(-judged.length);
          expect(from.map(({ site }) => site)).toEqual(judged.map(([site]) => site));
          expect(from.slice(1).map(({ sinceMs }) => sinceMs)).toEqual(judged.slice(1).map(([, ms]) => ms));
          for (const [at, { untilMs }] of stays.entries()) {
            const next = stays[at + 1];
            if (next !== undefined) expect(untilMs).not.toBeNull();
            if (next !== undefined) expect(untilMs ?? 0).toBeLessThanOrEqual(next.sinceMs);
          }
          expect(stays.at(-1)?.untilMs === null).toBe(foldUnit(some)?.retired === false);
        }
      }),
    );
  },
);

test('the judge sees moves, corrections and retirements that are left out', () => {
  for (const kind of ['unit-moved', 'correction', 'unit-retired']) {
    const told = fc.check(
      fc.property(registerEntries, (all) =>
        serials.every((serial) => {
          const some = ofUnit(all, serial);
          const judged = judgedStays(some).map(([site]) => site);
          const without = unitStays(some.filter((entry) => entry.kind !== kind));
          return (
            judged.length === 0 || `${without.slice(-judged.length).map(({ site }) => site)}` === `${judged}`
          );
        }),
      ),
      { numRuns: 2000 },
    );
    expect(told.failed, kind).toBe(true);
  }
});

const storeOf = (all: readonly Entry[]) => ({
  async *entries(query: EntryQuery) {
    for (const entry of inClaimedOrder(all)) {
      if ('kind' in query && entry.kind === query.kind) yield entry;
      if ('serial' in query && entry.body.serial === query.serial) yield entry;
    }
  },
  unit: async (serial: string) => foldUnit(ofUnit(all, serial)),
});

/** Every unit asked after every one of its entries. */
function judgedFormer(all: readonly Entry[], site: string): string[] {
  return serials.filter((serial) => {
    const some = ofUnit(all, serial);
    const now = foldUnit(some);
    if (now === undefined || (now.site === site && !now.retired)) return false;
    return steps(some).some(({ unit }) => unit?.site === site);
  });
}

/** Two laptops that register one unit at two sites tell of no move, and no retirement: such is left to `units show`. */
function registeredOnce(all: readonly Entry[]): Entry[] {
  const seen = new Set<unknown>();
  return inClaimedOrder(all).filter(({ kind, body: { serial } }) => {
    if (kind !== 'unit-added') return true;
    const retires = all.some((other) => other.kind === 'unit-retired' && other.body.serial === serial);
    if (seen.has(serial) && !retires) return false;
    seen.add(serial);
    return true;
  });
}

test('the units that left a site are those that a walk through all of them finds', async () => {
  let found = 0;
  await checkSeeded(
    file,
    400,
    fc.asyncProperty(fc.oneof(registerEntries, correctedEntries), async (entries) => {
      const all = registeredOnce(entries);
      for (const site of ['Alder Farm', 'Birch']) {
        const former = await formerUnits(storeOf(all), site);
        const serialsFound = former.map(({ unit }) => unit.serial).sort();
        // One that somebody spoke of before it was registered may be told, too.
        const judged = judgedFormer(all, site);
        expect(serialsFound).toEqual(expect.arrayContaining(judged));
        for (const serial of serialsFound) {
          if (judged.includes(serial)) continue;
          const some = ofUnit(all, serial);
          expect(unitStays(some).some((stay) => stay.site === site)).toBe(true);
          expect(steps(some)[0]?.unit).toBeUndefined();
        }
        found += judged.length;
      }
    }),
  );
  expect(found).toBeGreaterThan(20);
});
