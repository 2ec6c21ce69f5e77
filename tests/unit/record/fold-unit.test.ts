import { expect, test } from 'vitest';
import type { EntryBodies } from '../../../src/record/entry.ts';
import { foldUnit } from '../../../src/record/fold-unit.ts';
import { chainOf, day, newYear } from '../../support/entries.ts';

const serial = 'TRB00000018';
const added: EntryBodies['unit-added'] = {
  serial,
  product: 'rill-40',
  hardware: 'B',
  site: 'Alder Farm',
  details: { role: 'well pump' },
};

function registered() {
  const chain = chainOf('aaaaaaaa');
  chain.add('unit-added', added, newYear);
  return chain;
}

const reported = (version: string, dated = false) => ({
  serial,
  version,
  evidence: 'reported' as const,
  dated,
});
const outcome = (body: Partial<EntryBodies['outcome']>): EntryBodies['outcome'] => ({
  serial,
  outcome: 'updated',
  evidence: 'reported',
  ...body,
});

test('no entries, or none that registers the unit: no unit', () => {
  expect(foldUnit([])).toBeUndefined();
  const chain = chainOf('aaaaaaaa');
  chain.add('version-seen', reported('4.0.0'), newYear);
  expect(foldUnit(chain.entries)).toBeUndefined();
});

test('registered, and nothing else known', () => {
  expect(foldUnit(registered().entries)).toEqual({
    serial,
    product: 'rill-40',
    hardware: 'B',
    site: 'Alder Farm',
    details: { role: 'well pump' },
    retired: false,
    version: null,
    versionRead: null,
    lastOutcome: null,
    lastDecisive: null,
    readSince: [],
    exempt: null,
    left: null,
    reported: { dated: null, undated: null },
    newestMs: newYear,
  });
});

test('changes name what changes; null takes a detail away', () => {
  const chain = registered();
  chain.add('unit-changed', { serial, site: 'Birch' }, newYear + day);
  chain.add(
    'unit-changed',
    { serial, hardware: 'C', details: { role: null, notes: 'behind the barn' } },
    newYear + 2 * day,
  );
  expect(foldUnit(chain.entries)).toMatchObject({
    product: 'rill-40',
    hardware: 'C',
    site: 'Birch',
    details: { notes: 'behind the barn' },
  });
  expect(foldUnit(chain.entries)?.details).not.toHaveProperty('role');
});

test('retired, and brought back by being added again', () => {
  const chain = registered();
  chain.add('unit-retired', { serial }, newYear + day);
  expect(foldUnit(chain.entries)?.retired).toBe(true);
  chain.add('unit-added', { ...added, site: 'Cedar' }, newYear + 2 * day);
  expect(foldUnit(chain.entries)).toMatchObject({ retired: false, site: 'Cedar' });
});

test('an exemption holds until it is ended; the newest one counts', () => {
  const chain = registered();
  chain.add('exemption-begun', { serial, why: 'spare', until: null }, newYear + day);
  chain.add('exemption-begun', { serial, why: 'sold', until: '2026-03-31' }, newYear + 2 * day);
  expect(foldUnit(chain.entries)?.exempt).toEqual({ why: 'sold', until: '2026-03-31' });
  chain.add('exemption-ended', { serial }, newYear + 3 * day);
  expect(foldUnit(chain.entries)?.exempt).toBeNull();
});

test('of versions the latest counts, by the time claimed and not by the time written', () => {
  const chain = registered();
  chain.add('version-seen', reported('4.1.0', true), newYear + 5 * day);
  chain.add('version-seen', reported('4.0.0', true), newYear + 2 * day);
  expect(foldUnit(chain.entries)?.version).toEqual({
    version: '4.1.0',
    evidence: 'reported',
    atMs: newYear + 5 * day,
    dated: true,
  });
});

test('a reported version without its own date never overrides one that was read', () => {
  const chain = registered();
  chain.add('outcome', outcome({ versionRead: '4.2.0', evidence: 'read' }), newYear + day);
  chain.add('version-seen', reported('4.0.0'), newYear + 9 * day);
  const unit = foldUnit(chain.entries);
  expect(unit?.version).toMatchObject({ version: '4.2.0', evidence: 'read' });
  expect(unit?.reported.undated?.version).toBe('4.0.0');
  chain.add('version-seen', reported('4.3.0', true), newYear + 10 * day);
  expect(foldUnit(chain.entries)?.version).toMatchObject({ version: '4.3.0', evidence: 'reported' });
  expect(foldUnit(chain.entries)?.versionRead).toMatchObject({ version: '4.2.0' });
  // Not by way of the dated report in between either.
  chain.add('version-seen', reported('3.9.0'), newYear + 11 * day);
  expect(foldUnit(chain.entries)?.version?.version).toBe('4.3.0');
});

test('without any version read the latest report counts, dated or not', () => {
  const chain = registered();
  chain.add('version-seen', reported('4.1.0', true), newYear + 2 * day);
  chain.add('version-seen', reported('4.0.0'), newYear + 3 * day);
  expect(foldUnit(chain.entries)?.version).toMatchObject({ version: '4.0.0', dated: false });
});

test('lights alone give no version; a version read does, whatever the outcome', () => {
  const chain = registered();
  chain.add(
    'outcome',
    outcome({ release: 'rill-40@4.2.0', evidence: 'lights', lights: 'taken' }),
    newYear + day,
  );
  expect(foldUnit(chain.entries)).toMatchObject({
    version: null,
    lastOutcome: { evidence: 'lights', left: 'running' },
  });
  chain.add('outcome', outcome({ versionBefore: '4.0.0', evidence: 'lights' }), newYear + 2 * day);
  expect(foldUnit(chain.entries)?.version).toBeNull();
  for (const [index, kind] of (['updated', 'already-current', 'failed', 'deferred'] as const).entries()) {
    const again = registered();
    const body = outcome({ outcome: kind, versionRead: '4.1.0', evidence: 'read' });
    again.add('outcome', body, newYear + (3 + index) * day);
    const seen = { version: '4.1.0', evidence: 'read', atMs: newYear + (3 + index) * day, dated: true };
    expect(foldUnit(again.entries)).toMatchObject({ version: seen, versionRead: seen });
  }
});

test('a deferral is the newest outcome, but no decisive one', () => {
  const chain = registered();
  chain.add('outcome', outcome({ outcome: 'failed', left: 'locked-off', cause: 'unit' }), newYear + day);
  chain.add('outcome', outcome({ outcome: 'deferred', reason: 'no-access' }), newYear + 2 * day);
  const unit = foldUnit(chain.entries);
  expect(unit?.lastOutcome).toMatchObject({
    kind: 'deferred',
    reason: 'no-access',
    by: 'M. Tansy',
    entryId: 'aaaaaaaa-3',
  });
  expect(unit?.lastDecisive).toMatchObject({ kind: 'failed', cause: 'unit', left: 'locked-off' });
  expect(unit?.left).toBe('locked-off');
});

test('an updated unit is taken as left running, others as last said', () => {
  const chain = registered();
  chain.add('outcome', outcome({ outcome: 'failed', left: 'no-life' }), newYear + day);
  chain.add('outcome', outcome({}), newYear + 2 * day);
  expect(foldUnit(chain.entries)?.left).toBe('running');
  chain.add('outcome', outcome({ left: 'off' }), newYear + 3 * day);
  expect(foldUnit(chain.entries)?.left).toBe('off');
});

test('of two at one time the later written counts, then the later laptop, then the later in its chain', () => {
  const one = registered();
  const other = chainOf('bbbbbbbb');
  const at = newYear + day;
  one.add('unit-changed', { serial, site: 'first' }, at, newYear + 30 * day);
  other.add('unit-changed', { serial, site: 'second' }, at, newYear + 20 * day);
  expect(foldUnit([...one.entries, ...other.entries])?.site).toBe('first');
  other.add('unit-changed', { serial, site: 'third' }, at, newYear + 30 * day);
  expect(foldUnit([...one.entries, ...other.entries])?.site).toBe('third');
  one.add('unit-changed', { serial, site: 'fourth' }, at, newYear + 30 * day);
  expect(foldUnit([...one.entries, ...other.entries])?.site).toBe('third');
});

test('kinds that are not known, and newer forms of known ones, add nothing and break nothing', () => {
  const chain = registered();
  const strange = { ...chain.entries[0]!, kind: 'recalled', seq: 7, claimedMs: newYear + day };
  const newer = { ...chain.entries[0]!, kindVersion: 2, seq: 8, body: { serial, site: 'elsewhere' } };
  const named = { ...chain.entries[0]!, kind: 'constructor', seq: 9 };
  expect(foldUnit([...chain.entries, strange, newer, named])).toMatchObject({ site: 'Alder Farm' });
});

test('as of an earlier time only what was claimed before it counts', () => {
  const chain = registered();
  chain.add('outcome', outcome({ versionRead: '4.2.0', evidence: 'read' }), newYear + 2 * day);
  chain.add('unit-changed', { serial, site: 'Birch' }, newYear + 3 * day);
  expect(foldUnit(chain.entries, newYear + 2 * day)).toMatchObject({ site: 'Alder Farm', version: null });
  expect(foldUnit(chain.entries, newYear + 2 * day + 1)).toMatchObject({
    site: 'Alder Farm',
    version: { version: '4.2.0' },
  });
});

test('a unit that was registered later stood there before, as first registered', () => {
  const chain = chainOf('aaaaaaaa');
  chain.add('unit-added', added, newYear + 9 * day);
  chain.add('unit-changed', { serial, site: 'Birch' }, newYear + 10 * day);
  chain.add('unit-retired', { serial }, newYear + 11 * day);
  chain.add('version-seen', reported('4.0.0', true), newYear + day);
  expect(foldUnit(chain.entries, newYear + 2 * day)).toMatchObject({
    site: 'Alder Farm',
    retired: false,
    version: { version: '4.0.0' },
  });
});
