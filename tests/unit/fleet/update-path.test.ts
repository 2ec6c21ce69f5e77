// The path rules one by one, each with fleets small enough to see the right answer. Random fleets against a
// judge that enumerates every chain are in status-random.test.ts.

import { describe, expect, it } from 'vitest';
import { routesOn } from '../../../src/fleet/routes.ts';
import { pathsTo } from '../../../src/fleet/update-path.ts';
import type { From } from '../../../src/manifest/schema.ts';
import { catalogue, product, type ReleaseFacts, release } from './fleet-fixture.ts';

const list = (...versions: string[]): From => ({ kind: 'list', versions });
const range = (atLeast?: string, below?: string): From => ({
  kind: 'range',
  ...(atLeast === undefined ? {} : { atLeast }),
  ...(below === undefined ? {} : { below }),
});

function routeOf(
  releases: ReleaseFacts[],
  version: string,
  { hardware = 'A' as string | null, day = '2026-11-01', chosen = undefined as string | undefined } = {},
) {
  const made = releases.map(release);
  const routes = routesOn(
    catalogue(made),
    day,
    made.find((one) => one.version === chosen),
  );
  const unit = { product: 'rill-40', hardware };
  return {
    target: routes.target(unit)?.version,
    path: routes.path(unit, version)?.map((one) => one.version),
  };
}

const stones: ReleaseFacts[] = [
  { version: '2.0', sequence: 1, from: range('1.0', '2.0') },
  { version: '3.0', sequence: 2, from: list('2.0') },
  { version: '4.0', sequence: 3, from: range('3.0') },
];

describe('the target', () => {
  it('is the highest sequence, not the highest version', () => {
    expect(
      routeOf(
        [
          { version: '9.9', sequence: 4 },
          { version: '1.0', sequence: 5 },
        ],
        '0.1',
      ).target,
    ).toBe('1.0');
  });

  it('is one that the hardware may have, that is issued and not withdrawn on that day', () => {
    const releases: ReleaseFacts[] = [
      { version: '1.0', sequence: 1 },
      { version: '2.0', sequence: 2, withdrawnOn: '2026-11-02' },
      { version: '3.0', sequence: 3, hardware: ['B'] },
      { version: '4.0', sequence: 4, issued: '2026-11-03' },
    ];
    expect(routeOf(releases, '0.1', { day: '2026-11-01' }).target).toBe('2.0');
    expect(routeOf(releases, '0.1', { day: '2026-11-02' }).target).toBe('1.0');
    expect(routeOf(releases, '0.1', { day: '2026-11-03' }).target).toBe('4.0');
    expect(routeOf(releases, '0.1', { day: '2026-11-02', hardware: 'B' }).target).toBe('3.0');
    expect(routeOf(releases, '0.1', { day: '2026-11-02', hardware: 'Z' }).target).toBeUndefined();
  });

  it('is the chosen one for the units that may have it', () => {
    const releases: ReleaseFacts[] = [
      { version: '1.0', sequence: 1 },
      { version: '2.0', sequence: 2, hardware: ['B'] },
      { version: '3.0', sequence: 3 },
    ];
    expect(routeOf(releases, '0.1', { chosen: '1.0' })).toEqual({ target: '1.0', path: ['1.0'] });
    expect(routeOf(releases, '0.1', { chosen: '2.0', hardware: 'A' })).toEqual({});
  });

  it('for a unit whose revision is not known: none that its own revision might not have', () => {
    const releases: ReleaseFacts[] = [
      { version: '1.0', sequence: 1 },
      { version: '2.0', sequence: 2, hardware: ['B'] },
    ];
    expect(routeOf(releases, '0.1', { hardware: null })).toEqual({ target: '2.0', path: undefined });
    expect(routeOf(releases.slice(0, 1), '0.1', { hardware: null })).toEqual({
      target: '1.0',
      path: ['1.0'],
    });
  });
});

describe('the path', () => {
  it('goes over stepping stones', () => {
    expect(routeOf(stones, '1.5').path).toEqual(['2.0', '3.0', '4.0']);
    expect(routeOf(stones, '2.0').path).toEqual(['3.0', '4.0']);
    expect(routeOf(stones, '3.0.0').path).toEqual(['4.0']);
    expect(routeOf(stones, '4').path).toEqual([]);
    expect(routeOf(stones, '0.9').path).toBeUndefined();
  });

  it('holds both ends of a range as written: from the lower end on, below the upper', () => {
    expect(routeOf(stones, '1.0').path).toHaveLength(3);
    expect(
      routeOf([{ version: '2.5', sequence: 1, from: range(undefined, '2.0') }], '2.0').path,
    ).toBeUndefined();
    expect(routeOf([{ version: '2.5', sequence: 1, from: range(undefined, '2.0') }], '1.9').path).toEqual([
      '2.5',
    ]);
  });

  it('compares lists and ranges by the scheme: 4.10 is newer than 4.9, 4.2 is 4.2.0', () => {
    const releases: ReleaseFacts[] = [{ version: '5.0', sequence: 1, from: range('4.9', '5.0') }];
    expect(routeOf(releases, '4.10').path).toEqual(['5.0']);
    expect(routeOf([{ version: '5.0', sequence: 1, from: list('4.2.0') }], '4.2').path).toEqual(['5.0']);
  });

  it('takes no stone that is withdrawn, not yet issued or for other hardware', () => {
    for (const fault of [{ withdrawnOn: '2026-11-01' }, { issued: '2026-11-02' }, { hardware: ['B'] }])
      expect(routeOf([stones[0]!, { ...stones[1]!, ...fault }, stones[2]!], '1.5').path).toBeUndefined();
  });

  it('takes the shortest chain, though a longer one has higher sequences', () => {
    const releases: ReleaseFacts[] = [
      { version: '2.0', sequence: 1 },
      { version: '3.0', sequence: 5 },
      { version: '4.0', sequence: 6, from: list('3.0') },
      { version: '5.0', sequence: 9, from: list('4.0', '2.0') },
    ];
    expect(routeOf(releases, '1.0').path).toEqual(['2.0', '5.0']);
  });

  it('of equally short ones takes the higher sequence at the first difference, not at the last', () => {
    const releases: ReleaseFacts[] = [
      { version: '2.1', sequence: 1, from: list('1.0') },
      { version: '2.2', sequence: 2, from: list('1.0') },
      { version: '3.1', sequence: 8, from: list('2.1') },
      { version: '3.2', sequence: 3, from: list('2.2') },
      { version: '3.3', sequence: 4, from: list('2.2') },
      { version: '4.0', sequence: 9, from: list('3.1', '3.2', '3.3') },
    ];
    expect(routeOf(releases, '1.0').path).toEqual(['2.2', '3.3', '4.0']);
  });

  it('never installs a version over itself', () => {
    const releases: ReleaseFacts[] = [
      { version: '2.0', sequence: 1, from: list('2.0.0') },
      { version: '3.0', sequence: 2, from: list('1.0') },
    ];
    expect(routeOf(releases, '2.0').path).toBeUndefined();
    // The target over itself neither, though its `from` admits any: only a way round would do.
    const target = release({ version: '2.0', sequence: 2 });
    const detour = release({ version: '1.9', sequence: 1 });
    expect(pathsTo(target, [target], 'dotted').from('2.0.0')).toBeUndefined();
    expect(pathsTo(target, [target, detour], 'dotted').from('2.0.0')).toEqual([detour, target]);
  });

  it('ends where releases admit each other in a circle', () => {
    const releases: ReleaseFacts[] = [
      { version: '2.0', sequence: 1, from: list('3.0') },
      { version: '3.0', sequence: 2, from: list('2.0') },
      { version: '4.0', sequence: 3, from: list('9.0') },
    ];
    expect(routeOf(releases, '2.0').path).toBeUndefined();
  });

  it('goes over releases above a chosen target where the manifests allow it', () => {
    const releases: ReleaseFacts[] = [
      { version: '2.0', sequence: 1, from: list('3.0') },
      { version: '3.0', sequence: 2, from: list('1.0') },
    ];
    expect(routeOf(releases, '1.0', { chosen: '2.0' }).path).toEqual(['3.0', '2.0']);
  });

  it('keeps products, revisions and versions apart that are asked in one run', () => {
    const made = [
      release({ version: '2.0', sequence: 1, hardware: ['A'] }),
      release({ version: '3.0', sequence: 2, hardware: ['B'] }),
      release({ product: 'keld-9', version: '2026-03-01', sequence: 1, hardware: ['A'] }),
    ];
    const known = catalogue(made, [product('rill-40', ['A', 'B']), product('keld-9', ['A'], 'date')]);
    const routes = routesOn(known, '2026-11-01');
    const measured = routesOn(known, '2026-11-01', made[0]);
    const path = (id: string, hardware: string, version: string) =>
      routes.path({ product: id, hardware }, version)?.map((one) => one.version);
    for (let again = 0; again < 2; again++) {
      expect(path('rill-40', 'A', '1.0')).toEqual(['2.0']);
      expect(path('rill-40', 'B', '1.0')).toEqual(['3.0']);
      expect(path('rill-40', 'A', '2.0')).toEqual([]);
      expect(path('keld-9', 'A', '2025-01-01')).toEqual(['2026-03-01']);
      expect(path('keld-9', 'A', '2026.3.1')).toEqual([]);
      expect(path('elsewhere', 'A', '1.0')).toBeUndefined();
      expect(measured.target({ product: 'rill-40', hardware: 'A' })?.version).toBe('2.0');
      expect(measured.target({ product: 'keld-9', hardware: 'A' })?.version).toBe('2026-03-01');
      expect(routes.releasesOf('keld-9', '2.0')).toEqual([]);
      expect(routes.releasesOf('rill-40', '2.0')).toEqual([made[0]]);
    }
  });
});
