// Each clause of the status rules, one case a clause, with the day, the time and the neighbour that decide it.

import { describe, expect, it } from 'vitest';
import { routesOn } from '../../../src/fleet/routes.ts';
import { standingOf } from '../../../src/fleet/status.ts';
import type { Outcome, UnitState, VersionKnown } from '../../../src/record/unit-state.ts';
import { catalogue, noon, type ReleaseFacts, release, unit } from './fleet-fixture.ts';

const releases: ReleaseFacts[] = [
  { version: '1.0', sequence: 1, from: { kind: 'list', versions: ['0.5'] } },
  { version: '2.0', sequence: 2, withdrawnOn: '2026-10-10' },
  { version: '3.0', sequence: 3, due: '2026-10-20', from: { kind: 'range', atLeast: '1.0' } },
];

const read = (version: string, day = '2026-10-05'): VersionKnown => ({
  version,
  evidence: 'read',
  atMs: noon(day),
  dated: true,
});
const reported = (version: string): VersionKnown => ({ ...read(version), evidence: 'reported' });
const hasRead = (version: string, day?: string) => ({
  version: read(version, day),
  versionRead: read(version, day),
});

const outcome = (kind: Outcome['kind'], facts: Partial<Outcome> = {}): Outcome => ({
  kind,
  evidence: 'lights',
  by: 'R. Quill',
  atMs: noon('2026-10-06'),
  entryId: 'e1',
  ...facts,
});
const newest = (one: Outcome) => ({ lastOutcome: one, lastDecisive: one });

function standing(facts: Partial<UnitState>, day = '2026-10-15', given = releases, chosen?: string) {
  const made = given.map(release);
  const { status, late, onWithdrawn, target, path, dueBy } = standingOf(
    unit(facts),
    routesOn(
      catalogue(made),
      day,
      made.find(({ version }) => version === chosen),
    ),
  );
  return {
    status,
    late,
    onWithdrawn,
    target: target?.version ?? null,
    path: path.map((one) => one.version),
    dueBy,
  };
}
const statusOf = (...given: Parameters<typeof standing>) => standing(...given).status;

describe('failed', () => {
  it('comes first, before exempt, unknown and everything else', () => {
    const exempt = { why: 'sold', until: null };
    expect(statusOf({ ...newest(outcome('failed')), exempt })).toBe('failed');
    expect(statusOf({ ...newest(outcome('failed')), ...hasRead('1.0') })).toBe('failed');
  });

  it('outlives a deferral', () => {
    expect(statusOf({ lastOutcome: outcome('deferred'), lastDecisive: outcome('failed') })).toBe('failed');
  });

  it("is cleared by a later reading of the target's version alone", () => {
    const failed = newest(outcome('failed'));
    expect(statusOf({ ...failed, ...hasRead('3.0', '2026-10-07') })).toBe('current');
    expect(statusOf({ ...failed, ...hasRead('3.0.0', '2026-10-07') })).toBe('current');
    expect(statusOf({ ...failed, ...hasRead('3.0', '2026-10-06') })).toBe('failed');
    expect(statusOf({ ...failed, ...hasRead('3.0', '2026-10-05') })).toBe('failed');
    expect(statusOf({ ...failed, ...hasRead('4.0', '2026-10-07') })).toBe('failed');
    // Read once after the failure is read, whatever was read later.
    expect(statusOf({ ...failed, ...hasRead('1.0', '2026-10-09'), readSince: ['3.0', '1.0'] })).not.toBe(
      'failed',
    );
    expect(statusOf({ ...failed, version: reported('3.0') })).toBe('failed');
  });

  it('stays where there is no target to read', () => {
    expect(
      statusOf({ ...newest(outcome('failed')), ...hasRead('1.0', '2026-10-07') }, '2026-10-15', []),
    ).toBe('failed');
  });
});

describe('exempt', () => {
  it('holds to the end of its last day', () => {
    const exempt = { why: 'replaced in March', until: '2026-10-15' };
    expect(statusOf({ exempt, ...hasRead('1.0') }, '2026-10-15')).toBe('exempt');
    expect(statusOf({ exempt, ...hasRead('1.0') }, '2026-10-16')).toBe('due');
    expect(statusOf({ exempt: { why: 'x', until: null } })).toBe('exempt');
  });

  it('is still late, and still shows its target', () => {
    const exempt = { why: 'x', until: null };
    expect(standing({ exempt, ...hasRead('1.0') }, '2026-10-21')).toMatchObject({
      status: 'exempt',
      late: true,
      target: '3.0',
      path: ['3.0'],
    });
  });
});

describe('unknown', () => {
  it('is a unit of which nobody said a version', () => {
    expect(standing({})).toEqual({
      status: 'unknown',
      late: false,
      onWithdrawn: false,
      target: '3.0',
      path: [],
      dueBy: '2026-10-20',
    });
  });
});

describe('to-confirm', () => {
  const updated = (facts: Partial<Outcome> = {}) => outcome('updated', { release: 'rill-40@3.0', ...facts });

  it('is updated to the target on lights alone', () => {
    expect(standing({ ...newest(updated()), ...hasRead('1.0') })).toMatchObject({
      status: 'to-confirm',
      path: ['3.0'],
    });
    expect(statusOf({ ...newest(updated({ release: 'rill-40@3.0.0' })), ...hasRead('1.0') })).toBe(
      'to-confirm',
    );
    expect(statusOf({ ...newest(updated({ release: 'rill-40@1.0' })), ...hasRead('1.0') })).toBe('due');
    expect(statusOf({ ...newest(updated({ release: 'keld-9@3.0' })), ...hasRead('1.0') })).toBe('due');
  });

  it('comes after unknown', () => {
    expect(statusOf(newest(updated()))).toBe('unknown');
  });

  it('ends with any later reading, which then decides', () => {
    expect(statusOf({ ...newest(updated()), ...hasRead('3.0', '2026-10-07') })).toBe('current');
    expect(statusOf({ ...newest(updated()), ...hasRead('1.0', '2026-10-07') })).toBe('due');
    expect(statusOf({ ...newest(updated()), ...hasRead('1.0', '2026-10-05') })).toBe('to-confirm');
  });

  it('is one that was read, but not left running', () => {
    const during = { evidence: 'read' as const, versionRead: '3.0' };
    const at = hasRead('3.0', '2026-10-06');
    for (const left of ['off', 'locked-off', 'no-life'] as const)
      expect(statusOf({ ...newest(updated({ ...during, left })), ...at })).toBe('to-confirm');
    expect(statusOf({ ...newest(updated({ ...during, left: 'running' })), ...at })).toBe('current');
    expect(statusOf({ ...newest(updated(during)), ...at })).toBe('current');
    expect(
      statusOf({ ...newest(updated({ ...during, left: 'off' })), ...hasRead('3.0', '2026-10-07') }),
    ).toBe('current');
  });

  it('is a version that was only reported and would make the unit current', () => {
    expect(standing({ version: reported('3.0') })).toMatchObject({ status: 'to-confirm', path: [] });
    expect(statusOf({ version: reported('9.0') })).toBe('to-confirm');
    expect(statusOf({ version: reported('1.0') })).toBe('due');
    expect(statusOf({ version: reported('1.0') }, '2026-10-15', [])).toBe('to-confirm');
  });
});

describe('current', () => {
  it('is a unit to which no release applies, unless its version is withdrawn', () => {
    expect(statusOf({ ...hasRead('7.7') }, '2026-10-15', [])).toBe('current');
    const gone: ReleaseFacts[] = [{ version: '2.0', sequence: 1, withdrawnOn: '2026-10-15' }];
    expect(standing(hasRead('2.0'), '2026-10-15', gone)).toMatchObject({
      status: 'no-path',
      onWithdrawn: true,
    });
    expect(standing(hasRead('2.0'), '2026-10-14', gone)).toMatchObject({
      status: 'current',
      onWithdrawn: false,
    });
  });

  it('is never late', () => {
    expect(standing(hasRead('3.0'), '2027-01-01')).toMatchObject({
      status: 'current',
      late: false,
      path: [],
    });
  });

  it("is a version above the target's, but no withdrawn one and none of lower sequence", () => {
    expect(statusOf(hasRead('9.0'))).toBe('current');
    const back: ReleaseFacts[] = [
      { version: '5.0', sequence: 1 },
      { version: '6.0', sequence: 4, withdrawnOn: '2026-10-10' },
      { version: '3.0', sequence: 3 },
      { version: '7.0', sequence: 5, hardware: ['B'] },
    ];
    expect(statusOf(hasRead('5.0'), '2026-10-15', back)).toBe('due');
    expect(standing(hasRead('6.0'), '2026-10-15', back)).toMatchObject({ status: 'due', onWithdrawn: true });
    expect(statusOf(hasRead('7.0'), '2026-10-15', back)).toBe('current');
    expect(statusOf(hasRead('4.0'), '2026-10-15', back)).toBe('current');
  });

  it('is measured against a chosen target', () => {
    expect(statusOf(hasRead('1.0'), '2026-10-15', releases, '1.0')).toBe('current');
    expect(standing(hasRead('0.5'), '2026-10-15', releases, '1.0')).toMatchObject({
      status: 'due',
      dueBy: null,
    });
  });

  it('is never said of a product without a sound manifest', () => {
    expect(statusOf({ ...hasRead('1.0'), product: 'elsewhere' })).toBe('no-path');
  });
});

describe('no-path, overdue and due', () => {
  it('tells them by the path and the last day in time', () => {
    expect(standing(hasRead('0.9'))).toMatchObject({ status: 'no-path', late: false, path: [] });
    expect(standing(hasRead('0.9'), '2026-10-21')).toMatchObject({ status: 'no-path', late: true });
    expect(standing(hasRead('1.0'), '2026-10-20')).toMatchObject({
      status: 'due',
      late: false,
      path: ['3.0'],
    });
    expect(standing(hasRead('1.0'), '2026-10-21')).toMatchObject({ status: 'overdue', late: true });
  });

  it('goes on from a withdrawn version where a path leads on', () => {
    expect(standing(hasRead('2.0'))).toMatchObject({ status: 'due', onWithdrawn: true, path: ['3.0'] });
  });
});
