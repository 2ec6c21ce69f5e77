// The sentence beside each status, word for word: it is what a service lead reads in place of the rules.

import { describe, expect, it } from 'vitest';
import { routesOn } from '../../../src/fleet/routes.ts';
import { standingOf } from '../../../src/fleet/status.ts';
import { whyStanding } from '../../../src/fleet/why.ts';
import type { Outcome, UnitState, VersionKnown } from '../../../src/record/unit-state.ts';
import { catalogue, dayOf, noon, type ReleaseFacts, release, unit } from './fleet-fixture.ts';

const releases: ReleaseFacts[] = [
  { version: '1.0', sequence: 1, from: { kind: 'list', versions: ['0.9'] } },
  { version: '2.0', sequence: 2, withdrawnOn: '2026-10-02' },
  { version: '3.0', sequence: 3, due: '2026-10-20', from: { kind: 'list', versions: ['1.0', '2.0'] } },
];
const version = (text: string, evidence: 'read' | 'reported'): VersionKnown => ({
  version: text,
  evidence,
  atMs: noon('2026-10-05'),
  dated: true,
});
const read = (text: string) => ({ version: version(text, 'read'), versionRead: version(text, 'read') });
const did = (kind: Outcome['kind'], facts: Partial<Outcome> = {}) => {
  const one = {
    kind,
    evidence: 'lights',
    by: 'x',
    atMs: noon('2026-10-06'),
    entryId: 'e',
    ...facts,
  } as const;
  return { lastOutcome: one, lastDecisive: one };
};

function why(facts: Partial<UnitState>, day = '2026-10-15', given = releases): string {
  const state = unit(facts);
  return whyStanding(state, standingOf(state, routesOn(catalogue(given.map(release)), day)), dayOf);
}

describe('why', () => {
  it.each<[string, Partial<UnitState>, string]>([
    [
      'failed',
      { ...read('1.0'), ...did('failed', { release: 'rill-40@3.0', cause: 'unit', left: 'locked-off' }) },
      '3.0 failed on 2026-10-06 (cause: unit, left locked off). 3.0 was not read from it since.',
    ],
    [
      'failed, little said',
      { ...read('1.0'), ...did('failed') },
      'The attempt failed on 2026-10-06. 3.0 was not read from it since.',
    ],
    [
      'due, and updated on lights to one that was withdrawn since',
      { ...read('1.0'), ...did('updated', { release: 'rill-40@2.0' }) },
      'It has 1.0 and needs 3.0. It is due by 2026-10-20. It was updated to 2.0 on 2026-10-06, on lights alone, and not read since: read its version first. 2.0 was withdrawn: it does not restart.',
    ],
    [
      'due, and updated to a stone as a file of its said',
      { ...read('0.9'), ...did('updated', { release: 'rill-40@1.0', evidence: 'reported' }) },
      'It has 0.9 and needs 1.0, then 3.0. It is due by 2026-10-20. It was updated to 1.0 on 2026-10-06, as reported alone, and not read since: read its version first.',
    ],
    [
      'current by what was read before it was updated to one that was withdrawn',
      { ...read('3.0'), ...did('updated', { release: 'rill-40@2.0' }) },
      '3.0 was read on 2026-10-05. It was updated to 2.0 on 2026-10-06, on lights alone, and not read since: read its version first. 2.0 was withdrawn: it does not restart.',
    ],
    ['exempt', { exempt: { why: 'sold', until: null } }, 'Exempt: sold.'],
    [
      'exempt for a time',
      { exempt: { why: 'replaced soon', until: '2026-12-31' } },
      'Exempt to the end of 2026-12-31: replaced soon.',
    ],
    ['unknown', {}, 'No version of it is known: read it at the unit.'],
    [
      'on lights',
      { ...read('1.0'), ...did('updated', { release: 'rill-40@3.0' }) },
      'It was updated to 3.0 on 2026-10-06, on lights alone. Its version was not read since.',
    ],
    [
      'left off',
      { ...read('1.0'), ...did('updated', { release: 'rill-40@3.0', evidence: 'read', left: 'no-life' }) },
      'It was updated to 3.0 on 2026-10-06, but was left without a sign of life. Its version was not read since.',
    ],
    [
      'reported',
      { version: version('3.0', 'reported'), ...did('updated', { release: 'rill-40@1.0' }) },
      '3.0 was only reported (2026-10-05): read it at the unit.',
    ],
    ['current', read('3.0'), '3.0 was read on 2026-10-05.'],
    ['above', read('4.0'), '4.0 was read on 2026-10-05; the target is 3.0.'],
    ['due', read('1.0'), 'It has 1.0 and needs 3.0. It is due by 2026-10-20.'],
    ['over stones', read('0.9'), 'It has 0.9 and needs 1.0, then 3.0. It is due by 2026-10-20.'],
    [
      'on a withdrawn one',
      read('2.0'),
      'It has 2.0 and needs 3.0. It is due by 2026-10-20. 2.0 was withdrawn: it does not restart.',
    ],
    ['no path', read('0.1'), 'No release leads from 0.1 to 3.0. Ask the maker for a way.'],
    [
      'of an unknown product',
      { ...read('1.0'), product: 'keld-9' },
      'There is no sound manifest of keld-9, so nothing can be said of 1.0.',
    ],
  ])('%s', (_, facts, expected) => {
    expect(why(facts)).toBe(expected);
  });

  it('says that the day has passed', () => {
    expect(why(read('1.0'), '2026-10-21')).toBe('It has 1.0 and needs 3.0. It was due by 2026-10-20.');
    expect(why({ version: version('1.0', 'reported') }, '2026-10-21')).toContain('1.0 (reported)');
  });

  it('says that nothing applies, or that there is nothing to go to', () => {
    expect(why(read('1.0'), '2026-10-15', [])).toBe(
      '1.0 was read on 2026-10-05; no release of rill-40 for hardware A applies.',
    );
    expect(why(read('2.0'), '2026-10-15', [{ version: '2.0', sequence: 1, withdrawnOn: '2026-10-02' }])).toBe(
      'There is no release to go to. 2.0 was withdrawn: it does not restart.',
    );
  });

  it('says that the revision has to be found out first', () => {
    const forB: ReleaseFacts[] = [{ version: '3.0', sequence: 1, hardware: ['B'] }];
    expect(why({ ...read('1.0'), hardware: null }, '2026-10-15', forB)).toBe(
      'No release leads from 1.0 to 3.0. Its hardware revision is not known: say it first.',
    );
  });
});
