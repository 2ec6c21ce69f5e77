// Which units may be on a sheet of a release: the pump drive with a stepping stone, 3.8.0, before 4.2.0.

import { expect, test } from 'vitest';
import { routesOn } from '../../../src/fleet/routes.ts';
import type { UnitState } from '../../../src/record/unit-state.ts';
import { checkNextRelease } from '../../../src/sheet/check-next-release.ts';
import { catalogue, product, unit as registered, release } from '../fleet/fleet-fixture.ts';

const stone = release({ version: '3.8.0', sequence: 5, from: { kind: 'range', below: '3.8.0' } });
const target = release({
  version: '4.2.0',
  sequence: 17,
  hardware: ['A'],
  from: { kind: 'range', atLeast: '3.8.0', below: '4.2.0' },
});
const withdrawn = release({ version: '4.1.0', sequence: 16, withdrawnOn: '2026-06-01' });
const routes = routesOn(
  catalogue([stone, withdrawn, target], [product('rill-40', ['A', 'B'])]),
  '2026-10-03',
);

const unit = (changes: Partial<UnitState> = {}) => registered({ serial: 'TRA12345674', ...changes });
const at = (version: string, evidence: 'read' | 'reported' = 'read') => ({
  version: { version, evidence, atMs: 0, dated: true },
});
const told = (state: UnitState, of = target) =>
  checkNextRelease(state, of, routes).map(({ code, severity }) => `${severity} ${code}`);

test('the next release on its path: nothing to say', () => {
  expect(told(unit(at('3.9.0')))).toEqual([]);
  expect(told(unit(at('3.8.0')))).toEqual([]);
  expect(told(unit(at('4.1.0')))).toEqual([]);
  expect(told(unit(at('3.0.0')), stone)).toEqual([]);
});

test('a stepping stone first: refused, and the stone named', () => {
  const [finding] = checkNextRelease(unit(at('3.0.0')), target, routes);
  expect(finding).toMatchObject({
    code: 'stepping-stone-first',
    severity: 'stop',
    expected: 'rill-40@3.8.0, then rill-40@4.2.0',
  });
  expect(finding?.next).toBe('Make its sheet first: slotproof sheet rill-40@3.8.0 --unit TRA12345674');
});

test('a release that is not on its way: refused, and the next one named', () => {
  expect(told(unit(at('3.8.0')), stone)).toEqual(['stop not-next']);
});

test('hardware that may not have it', () => {
  expect(told(unit({ hardware: 'B', ...at('3.9.0') }))).toEqual(['stop hardware-not-allowed']);
});

test('it has the release already: refused where read, a warning where only said', () => {
  expect(told(unit(at('4.2.0')))).toEqual(['stop already-current']);
  expect(told(unit(at('4.2')))).toEqual(['stop already-current']);
  expect(told(unit(at('4.3.0')))).toEqual(['stop already-current']);
  expect(told(unit(at('4.2.0', 'reported')))).toEqual(['warn already-current']);
});

test('what is not known is settled on site', () => {
  expect(told(unit())).toEqual(['warn version-not-known']);
  expect(told(unit({ hardware: null, ...at('3.9.0') }))).toEqual(['warn hardware-not-known']);
  expect(told(unit({ hardware: null, ...at('3.0.0') }))).toEqual([
    'warn hardware-not-known',
    'stop stepping-stone-first',
  ]);
});

test('no way leads there', () => {
  const lone = routesOn(catalogue([target], [product('rill-40', ['A', 'B'])]), '2026-10-03');
  expect(checkNextRelease(unit(at('3.0.0')), target, lone).map(({ code }) => code)).toEqual(['no-path']);
});

test('an exempt unit: a warning with the reason', () => {
  const exempt = { why: 'the farm is being rebuilt', until: null };
  expect(checkNextRelease(unit({ exempt, ...at('3.9.0') }), target, routes)).toMatchObject([
    { code: 'unit-exempt', severity: 'warn', seen: 'the farm is being rebuilt' },
  ]);
  expect(told(unit({ exempt: { why: 'x', until: '2026-10-02' }, ...at('3.9.0') }))).toEqual([]);
});

test('a release not issued yet is not the next one', () => {
  const early = routesOn(
    catalogue([stone, withdrawn, target], [product('rill-40', ['A', 'B'])]),
    '2025-10-03',
  );
  expect(checkNextRelease(unit(at('3.9.0')), target, early).map(({ severity }) => severity)).toContain(
    'stop',
  );
});
