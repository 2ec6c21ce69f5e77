import { expect, test } from 'vitest';
import {
  asFailed,
  type OutcomeClaim,
  planOutcome,
  withDisplayConfirmed,
} from '../../../src/fleet/plan-outcome.ts';
import { routesOn } from '../../../src/fleet/routes.ts';
import type { Product } from '../../../src/manifest/schema.ts';
import { bodyFault } from '../../../src/record/entry-schema.ts';
import type { UnitState } from '../../../src/record/unit-state.ts';
import { Failure } from '../../../src/words/failure.ts';
import { catalogue, noon, product, release, unit } from './fleet-fixture.ts';

const pump = {
  ...product('rill-40', ['A', 'B']),
  patterns: [{ id: 'taken' }, { id: 'refused' }],
  positions: {},
  procedure: [],
  never: [],
  whileBusy: {},
} as unknown as Product;
const releases = [
  release({ version: '3.8.0', sequence: 1 }),
  release({ version: '4.0.0', sequence: 2, from: { kind: 'range', atLeast: '3.8.0' } }),
  release({ version: '4.2.0', sequence: 3, from: { kind: 'range', atLeast: '4.0.0' } }),
  release({ version: '4.9.0', sequence: 4, hardware: ['B'] }),
];
const routes = routesOn(catalogue(releases, [pump]), '2026-06-01');
const at = (version: string | null): UnitState =>
  unit({
    version:
      version === null ? null : { version, evidence: 'reported', atMs: noon('2026-01-05'), dated: true },
  });

const plan = (claim: OutcomeClaim, version: string | null = '3.8.0') =>
  planOutcome(claim, at(version), routes);

function code(claim: OutcomeClaim, state = at('3.8.0')): string {
  try {
    planOutcome(claim, state, routes);
  } catch (error) {
    if (error instanceof Failure) {
      expect(error.facts.exit).toBe(2);
      return error.facts.code;
    }
    throw error;
  }
  return 'taken';
}

test('the release is the next on the path, where none is named', () => {
  expect(plan({ outcome: 'updated', lights: 'taken' }).body).toEqual({
    serial: 'TRB1',
    outcome: 'updated',
    evidence: 'lights',
    release: 'rill-40@4.0.0',
    lights: 'taken',
    left: 'running',
  });
  expect(plan({ outcome: 'failed' }, '4.0.0').body.release).toBe('rill-40@4.2.0');
  expect(plan({ outcome: 'deferred' }, '4.2.0').body).not.toHaveProperty('release');
});

test('a version read further along the path says which release it was, and the person hears of it', () => {
  const { body, versionInDoubt, notices } = plan({ outcome: 'updated', versionRead: '4.2' });
  expect(body).toMatchObject({ release: 'rill-40@4.2.0', evidence: 'read', versionRead: '4.2' });
  expect(versionInDoubt).toBeUndefined();
  expect(notices.join()).toContain('4.2.0');
});

test('where the version before is not known, the one read says it; else it is the target', () => {
  expect(plan({ outcome: 'updated', versionRead: '4.0.0' }, null).body.release).toBe('rill-40@4.0.0');
  const { body, notices } = plan({ outcome: 'updated', lights: 'taken' }, null);
  expect(body.release).toBe('rill-40@4.2.0');
  expect(notices.join()).toContain('not known');
});

test('where nothing is to be installed, the release must be read or named', () => {
  expect(code({ outcome: 'updated', lights: 'taken' }, at('4.2.0'))).toBe('release-missing');
  expect(plan({ outcome: 'updated', versionRead: '4.2.0' }, '4.2.0').body.release).toBe('rill-40@4.2.0');
  expect(plan({ outcome: 'failed' }, '4.2.0').body).not.toHaveProperty('release');
});

test.each([
  ['rill-40@4.2.0', 'rill-40@4.2.0'],
  ['rill-40@4.2', 'rill-40@4.2.0'],
  ['4.2.0', 'rill-40@4.2.0'],
  ['rill-40', 'rill-40@4.2.0'],
])('a release said as %s', (said, meant) => {
  expect(plan({ outcome: 'failed', release: said }).body.release).toBe(meant);
});

test.each([
  ['hearth-90@1.0', 'other-product'],
  ['rill-40@9.9.9', 'release-unknown'],
  ['9.9.9', 'release-unknown'],
])('a release that cannot be: %s', (said, expected) => {
  expect(code({ outcome: 'failed', release: said })).toBe(expected);
});

test('a release for another hardware revision is taken down, and said', () => {
  expect(plan({ outcome: 'failed', release: '4.9.0' }).notices.join()).toContain(
    'not for hardware revision A',
  );
});

test.each<[OutcomeClaim, string]>([
  [{ outcome: 'updated', reason: 'no-time' }, 'option-misplaced'],
  [{ outcome: 'failed', reason: 'no-time' }, 'option-misplaced'],
  [{ outcome: 'deferred', cause: 'card' }, 'option-misplaced'],
  [{ outcome: 'already-current', cause: 'card', versionRead: '4.2.0' }, 'option-misplaced'],
  [{ outcome: 'already-current' }, 'answer-missing'],
  [{ outcome: 'updated', versionRead: 'v4' }, 'version-form'],
  [{ outcome: 'updated', versionBefore: 'old' }, 'version-form'],
  [{ outcome: 'updated', lights: 'take' }, 'pattern-unknown'],
])('refused: %j', (claim, expected) => {
  expect(code(claim)).toBe(expected);
});

test('current already, by a version that no release has: in doubt, and what it counts as is said as it is', () => {
  const at = (versionRead: string) => plan({ outcome: 'already-current', versionRead });
  const higher = at('42.0');
  expect(higher.versionInDoubt).toBe('unknown');
  expect(higher.notices.join()).toMatch(
    /no release of rill-40 has it: it compares higher.*counts as current/,
  );
  const lower = at('0.4.2');
  expect(lower.versionInDoubt).toBe('unknown');
  expect(lower.notices.join()).toMatch(/no release of rill-40 has it: the unit is not counted as current/);
  for (const known of ['4.0.0', '4.2', '4.2.0']) expect(at(known).versionInDoubt).toBeUndefined();
});

test('already-current is about the target, on a version that was read', () => {
  const { body, notices } = plan({ outcome: 'already-current', versionRead: '4.2.0' });
  expect(body).toMatchObject({ outcome: 'already-current', release: 'rill-40@4.2.0', evidence: 'read' });
  expect(body).not.toHaveProperty('left');
  expect(notices).toEqual([]);
  expect(plan({ outcome: 'already-current', versionRead: '4.0.0' }).notices.join()).toContain(
    'not counted as current',
  );
});

test('an updated unit that shows another version is told; as failed it keeps what was said', () => {
  const { body, versionInDoubt } = plan({ outcome: 'updated', versionRead: '3.8.0', release: '4.0.0' });
  expect(versionInDoubt).toBe('other');
  expect(withDisplayConfirmed(body)).toMatchObject({
    outcome: 'updated',
    displayConfirmed: true,
    left: 'running',
  });
  const failed = asFailed(body, false);
  expect(failed).toMatchObject({
    outcome: 'failed',
    said: 'updated',
    versionRead: '3.8.0',
    evidence: 'read',
  });
  expect(failed).not.toHaveProperty('left');
  expect(asFailed({ ...body, left: 'off' }, true).left).toBe('off');
  expect(plan({ outcome: 'failed', versionRead: '3.8.0' }).versionInDoubt).toBeUndefined();
});

test('neither version nor lights: reported, and the person hears of it', () => {
  const { body, notices } = plan({ outcome: 'updated' });
  expect(body.evidence).toBe('reported');
  expect(notices.join()).toContain('reported');
  expect(plan({ outcome: 'deferred', reason: 'no-time' }).notices).toEqual([]);
});

test('a unit whose product has no manifest is logged all the same, by a release that is named', () => {
  const stranger = { ...at('1'), product: 'lume-2' };
  expect(code({ outcome: 'updated', lights: 'anything' }, stranger)).toBe('release-missing');
  expect(
    planOutcome({ outcome: 'updated', release: 'lume-2@7', versionRead: 'b' }, stranger, routes).body,
  ).toMatchObject({
    release: 'lume-2@7',
    versionRead: 'b',
  });
});

test('every body is of the published form', () => {
  for (const claim of [
    {
      outcome: 'updated',
      versionRead: '4.0.0',
      versionBefore: '3.8.0',
      card: 'blue 3',
      told: 'Mx Reed',
      note: 'n',
    },
    { outcome: 'failed', cause: 'unit', left: 'locked-off', case: '4471' },
    { outcome: 'deferred', reason: 'no-access' },
  ] as const) {
    expect(bodyFault('outcome', plan(claim).body)).toBeUndefined();
  }
  expect(bodyFault('outcome', { serial: 'x', outcome: 'updated' })).toContain('evidence');
});
