// Which units are warned of on a sheet: updated, but their version not read since.

import { expect, test } from 'vitest';
import { routesOn } from '../../../src/fleet/routes.ts';
import type { Outcome, UnitState } from '../../../src/record/unit-state.ts';
import { checkUnreadUpdate } from '../../../src/sheet/check-unread-update.ts';
import { catalogue, dayOf, noon, release, unit } from '../fleet/fleet-fixture.ts';

const routes = routesOn(
  catalogue([
    release({ version: '2.0', sequence: 2, withdrawnOn: '2026-10-08' }),
    release({ version: '3.0', sequence: 3 }),
  ]),
  '2026-10-15',
);
const did = (facts: Partial<Outcome>): Partial<UnitState> => {
  const one: Outcome = {
    kind: 'updated',
    evidence: 'lights',
    by: 'x',
    atMs: noon('2026-10-06'),
    entryId: 'e',
    ...facts,
  };
  return { lastOutcome: one, lastDecisive: one };
};
const told = (state: Partial<UnitState>) => checkUnreadUpdate(unit(state), routes, dayOf);

test('updated on lights to what is withdrawn now: said with the day and the release', () => {
  const [finding, ...more] = told(did({ release: 'rill-40@2.0' }));
  expect(more).toEqual([]);
  expect(finding).toMatchObject({
    code: 'update-not-read',
    severity: 'warn',
    seen: 'updated on 2026-10-06, on lights alone',
  });
  expect(finding?.summary).toContain('was updated to 2.0, a release that is withdrawn now,');
  expect(finding?.next).toMatch(/^Read its version before anything else\./);
});

test('one that is not withdrawn, and one that a file of the unit said: the same without that', () => {
  const [finding] = told(did({ release: 'rill-40@3.0', evidence: 'reported' }));
  expect(finding).toMatchObject({ severity: 'warn', seen: 'updated on 2026-10-06, as reported alone' });
  expect(finding?.summary).not.toContain('withdrawn');
});

test('nothing where the version was read with it or after it, where it failed, or of another product', () => {
  expect(told({})).toEqual([]);
  expect(told(did({ release: 'rill-40@2.0', evidence: 'read', versionRead: '2.0' }))).toEqual([]);
  expect(told({ ...did({ release: 'rill-40@2.0' }), readSince: ['1.0'] })).toEqual([]);
  expect(told(did({ release: 'rill-40@2.0', kind: 'failed' }))).toEqual([]);
  expect(told(did({ release: 'hearth-90@2.0' }))).toEqual([]);
  expect(told(did({}))).toEqual([]);
});
