// The audit as a whole on a small fleet: what is counted, what counts as pace, how releases fare, and which
// units are outstanding. Status and paths have judges of their own.

import { describe, expect, it } from 'vitest';
import { type AuditQuestion, auditFleet, outstanding } from '../../../src/fleet/audit.ts';
import { forecastDays, laterDay, weeklySuccesses } from '../../../src/fleet/pace.ts';
import { addUpTrials } from '../../../src/fleet/release-trials.ts';
import { routesOn } from '../../../src/fleet/routes.ts';
import type { OutcomeLogged } from '../../../src/record/entry.ts';
import type { UnitState, VersionKnown } from '../../../src/record/unit-state.ts';
import { catalogue, dayOf, noon, outcomeEntry, release, unit } from './fleet-fixture.ts';

const known = catalogue([
  release({ version: '1.0', sequence: 1, from: { kind: 'list', versions: ['0.9'] } }),
  release({ version: '2.0', sequence: 2, due: '2026-10-20', from: { kind: 'list', versions: ['1.0'] } }),
]);
const endMs = noon('2026-10-21') + 12 * 3_600_000;

const read = (version: string): VersionKnown => ({
  version,
  evidence: 'read',
  atMs: noon('2026-10-01'),
  dated: true,
});
const has = (serial: string, version: string, more: Partial<UnitState> = {}) =>
  unit({ serial, version: read(version), versionRead: read(version), ...more });

function audit(units: UnitState[], more: Partial<AuditQuestion> = {}) {
  return auditFleet({
    catalogue: known,
    routes: routesOn(known, '2026-10-21'),
    units,
    outcomes: [],
    dayOf,
    endMs,
    ...more,
  });
}

describe('auditFleet', () => {
  it('has every status in its counts, and a row a unit, retired ones left out', () => {
    const made = audit([
      has('U3', '2.0', { site: 'Beck Mill' }),
      has('U1', '1.0'),
      has('U2', '1.0', { retired: true }),
    ]);
    expect(made.rows.map(({ unit: { serial } }) => serial)).toEqual(['U1', 'U3']);
    expect(made.counts).toEqual({
      current: 1,
      'to-confirm': 0,
      due: 0,
      overdue: 1,
      failed: 0,
      'no-path': 0,
      unknown: 0,
      exempt: 0,
    });
    expect(made.rows.every(({ why }) => why.length > 10)).toBe(true);
  });

  it('is narrowed to a product and a site, but judges releases by every try', () => {
    const units = [
      has('U1', '1.0'),
      has('U2', '1.0', { site: 'Beck Mill' }),
      has('U3', '1', { product: 'keld-9' }),
    ];
    const outcomes = [
      outcomeEntry({ serial: 'U1', outcome: 'failed', release: 'rill-40@2.0' }, '2026-10-02'),
    ];
    const made = audit(units, { site: 'Beck Mill', outcomes });
    expect(made.rows).toHaveLength(1);
    expect(made.releases).toMatchObject([{ release: 'rill-40@2.0', tried: 1, failed: 1, rule: 'go-on' }]);
    expect(audit(units, { product: 'keld-9', outcomes }).releases).toEqual([]);
    expect(audit(units, { product: 'keld-9' }).rows.map(({ unit: { serial } }) => serial)).toEqual(['U3']);
  });

  it('leaves units without a path out of what a visit can finish, and forecasts nothing for nobody', () => {
    const made = audit([has('U1', '1.0'), has('U2', '0.1'), has('U3', '2.0')]);
    expect(made.counts['no-path']).toBe(1);
    expect(made.rest).toBe(1);
    const reported = unit({ serial: 'U4', version: { ...read('2.0'), evidence: 'reported' } });
    const all = audit([
      has('U1', '1.0'),
      has('U2', '0.1'),
      unit({ serial: 'U3' }),
      reported,
      has('U5', '2.0'),
    ]);
    expect(all.counts).toMatchObject({ overdue: 1, 'no-path': 1, unknown: 1, 'to-confirm': 1, current: 1 });
    expect(all.rest).toBe(3);
    expect(audit([]).forecast).toBeNull();
    expect(audit([has('U1', '2.0')]).forecast).toEqual({ p50: '2026-10-21', p90: '2026-10-21' });
  });

  it('names a release that was tried though its manifest is gone', () => {
    const outcomes = [
      outcomeEntry({ serial: 'U1', outcome: 'updated', release: 'rill-40@0.5' }, '2026-10-02'),
    ];
    expect(audit([has('U1', '1.0')], { outcomes }).releases.map((one) => one.release)).toEqual([
      'rill-40@2.0',
      'rill-40@0.5',
    ]);
  });
});

describe('outstanding', () => {
  const exempt = { why: 'sold', until: null };
  const failed = {
    kind: 'failed',
    evidence: 'lights',
    by: 'x',
    atMs: noon('2026-10-05'),
    entryId: 'e',
  } as const;
  const made = audit([
    has('current', '2.0'),
    has('exempt', '1.0', { exempt }),
    has('overdue', '1.0'),
    has('no-path', '0.1'),
    unit({ serial: 'unknown' }),
    has('failed', '1.0', { lastOutcome: failed, lastDecisive: failed }),
  ]);

  it('due: whoever is neither current nor exempt', () => {
    expect(outstanding(made, 'due').map(({ unit: { serial } }) => serial)).toEqual([
      'failed',
      'no-path',
      'overdue',
      'unknown',
    ]);
  });

  it('overdue: of those, whose date has passed', () => {
    expect(outstanding(made, 'overdue')).toHaveLength(4);
    const before = auditFleet({
      catalogue: known,
      routes: routesOn(known, '2026-10-20'),
      units: made.rows.map(({ unit: one }) => one),
      outcomes: [],
      dayOf,
      endMs,
    });
    expect(outstanding(before, 'overdue')).toEqual([]);
    expect(outstanding(before, 'due')).toHaveLength(4);
  });
});

describe('weeklySuccesses', () => {
  const units = new Map(['U1', 'U2', 'U3'].map((serial) => [serial, has(serial, '1.0')]));
  const routes = routesOn(known, '2026-10-21');
  const weekly = (...entries: [Partial<OutcomeLogged> & { serial: string }, string][]) =>
    weeklySuccesses(
      entries.map(([body, day]) =>
        outcomeEntry({ outcome: 'updated', release: 'rill-40@2.0', versionRead: '2.0', ...body }, day),
      ),
      units,
      routes,
      endMs,
    );

  it('counts spans of seven days back from the end, empty ones too', () => {
    expect(
      weekly(
        [{ serial: 'U1' }, '2026-10-02'],
        [{ serial: 'U2' }, '2026-10-15'],
        [{ serial: 'U3' }, '2026-10-21'],
      ),
    ).toEqual([2, 0, 1]);
    expect(weekly([{ serial: 'U1' }, '2026-10-14'])).toEqual([0, 1]);
    expect(weekly([{ serial: 'U1' }, '2026-12-01'])).toEqual([1]);
    expect(weekly()).toEqual([]);
    // The first instant of a span belongs to it.
    const body = { serial: 'U1', outcome: 'updated', release: 'rill-40@2.0', versionRead: '2.0' } as const;
    const week = 7 * 86_400_000;
    const onTheEdge = { ...outcomeEntry(body, '2026-10-15'), claimedMs: endMs - week };
    expect(weeklySuccesses([onTheEdge], units, routes, endMs)).toEqual([1]);
    expect(weeklySuccesses([{ ...onTheEdge, claimedMs: endMs - week - 1 }], units, routes, endMs)).toEqual([
      0, 1,
    ]);
  });

  it('counts each unit once, and only what makes it current', () => {
    expect(weekly([{ serial: 'U1' }, '2026-10-20'], [{ serial: 'U1' }, '2026-10-21'])).toEqual([1]);
    expect(weekly([{ serial: 'U1', outcome: 'already-current' }, '2026-10-20'])).toEqual([1]);
    for (const body of [
      { outcome: 'failed' },
      { outcome: 'deferred' },
      { versionRead: '1.0' },
      { left: 'locked-off' },
      { serial: 'ZZ' },
    ] as const)
      expect(weekly([{ serial: 'U1', ...body }, '2026-10-20']), JSON.stringify(body)).toEqual([]);
    const lights = outcomeEntry({ serial: 'U1', outcome: 'updated', release: 'rill-40@2.0' }, '2026-10-20');
    expect(weeklySuccesses([lights], units, routes, endMs)).toEqual([]);
  });

  it('forgets what is longer ago than half a year', () => {
    expect(weekly([{ serial: 'U1' }, '2026-01-01'], [{ serial: 'U2' }, '2026-10-20'])).toEqual([1]);
  });
});

describe('days ahead', () => {
  it('are counted in the calendar', () => {
    expect(laterDay('2026-12-31', 1)).toBe('2027-01-01');
    expect(laterDay('2028-02-28', 1)).toBe('2028-02-29');
    expect(laterDay('2026-03-01', -1)).toBe('2026-02-28');
    expect(forecastDays(1, [4, 4, 4], '2026-10-21')).toEqual({ p50: '2026-10-28', p90: '2026-10-28' });
    expect(forecastDays(1, [4], '2026-10-21')).toBeNull();
  });
});

describe('addUpTrials', () => {
  const tries = [
    { serial: 'B1', outcome: 'failed', card: 'K1', by: 'R. Quill' },
    { serial: 'A1', outcome: 'updated', card: 'K2', by: 'R. Quill' },
    { serial: 'B2', outcome: 'deferred', card: 'K1', by: 'R. Quill' },
    { serial: 'B2', outcome: 'failed', card: 'K1', by: 'T. Sedge' },
    { serial: 'A2', outcome: 'already-current', by: 'T. Sedge' },
    { serial: 'A3', outcome: 'updated', by: 'T. Sedge' },
  ] as const;
  const entries = tries.map(({ by, ...body }, at) =>
    outcomeEntry({ release: 'rill-40@2.0', ...body }, `2026-10-0${at + 1}`, by),
  );
  const trials = addUpTrials(entries, (serial) => (serial.startsWith('A3') ? null : serial[0]));

  it('counts tries, not deferrals or units that were current already', () => {
    expect(trials.get('rill-40@2.0')).toMatchObject({ tried: 4, failed: 2, rule: 'halt', haltedAfter: 3 });
    expect([...trials.keys()]).toEqual(['rill-40@2.0']);
  });

  it('splits failures by revision, card and technician', () => {
    expect(trials.get('rill-40@2.0')?.split).toEqual({
      hardware: [
        { name: 'B', tried: 2, failed: 2 },
        { name: 'A', tried: 1, failed: 0 },
        { name: 'not known', tried: 1, failed: 0 },
      ],
      card: [
        { name: 'K1', tried: 2, failed: 2 },
        { name: 'K2', tried: 1, failed: 0 },
        { name: 'not known', tried: 1, failed: 0 },
      ],
      technician: [
        { name: 'R. Quill', tried: 2, failed: 1 },
        { name: 'T. Sedge', tried: 2, failed: 1 },
      ],
    });
  });

  it('takes outcomes without a release as none of any release', () => {
    expect(
      addUpTrials([outcomeEntry({ serial: 'U1', outcome: 'failed' }, '2026-10-01')], () => null).size,
    ).toBe(0);
  });
});
