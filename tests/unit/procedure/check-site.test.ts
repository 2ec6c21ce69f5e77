// Steps that are done once for a site, in the check for gaps: sound procedures pass, planted faults are told with a way
// that shows them, and random ones are judged alike by playing two units out as one procedure.

import { describe, expect, test } from 'vitest';
import { lintOncePerSite } from '../../../src/manifest/lint-once-per-site.ts';
import { productSchema } from '../../../src/manifest/schema.ts';
import { checkGaps } from '../../../src/procedure/check-gaps.ts';
import { productAtTurn, siteOpened } from '../../../src/procedure/site-turn.ts';
import { seededNumbers } from '../../support/faulty-blocks.ts';
import { flatSite, unflattened } from './flat-site.ts';
import { judge } from './gap-judge.ts';
import { steps, type Written, writtenProduct } from './written-product.ts';

const positions = {
  hub: { states: ['on', 'off'], starts: 'on', ends: 'on' },
  barrier: { states: ['open', 'shut'], starts: 'open', ends: 'open' },
  array: { states: ['connected', 'isolated'], starts: 'connected', ends: 'connected' },
  card: { states: ['out', 'in'], starts: 'out', ends: 'out' },
};
const never = [
  { when: { card: 'in', hub: 'on' }, why: 'The hub could wake it half-written' },
  { when: { array: 'isolated', barrier: 'open' }, why: 'Somebody could walk in' },
];

/** Sound: the hub and the barrier are the site's. */
const sound = `
- { id: hub-off, do: Switch the hub off, sets: { hub: off }, oncePerSite: true }
- { id: shut, do: Shut the barrier, sets: { barrier: shut }, oncePerSite: true }
- { id: settle, wait: 2min, oncePerSite: true }
- { id: isolate, do: Isolate the array, needs: { barrier: shut }, sets: { array: isolated } }
- { id: insert, do: Slide the card in, needs: { hub: off }, sets: { card: in } }
- { id: look, watch: { loading: look, taken: out, turned-down: out-bad }, within: 10min, late: alone, unlisted: alone }
- { id: out, do: Slide the card out, sets: { card: out } }
- { id: connect, do: Connect the array, needs: { card: out }, sets: { array: connected } }
- { id: hub-on, do: Switch the hub on, sets: { hub: on }, oncePerSite: true }
- { id: open, do: Open the barrier, sets: { barrier: open }, oncePerSite: true }
- { id: done, end: updated }
- { id: out-bad, do: Slide the card out, sets: { card: out } }
- { id: connect-bad, do: Connect the array, sets: { array: connected } }
- { id: hub-on-bad, do: Switch the hub on, sets: { hub: on }, oncePerSite: true }
- { id: open-bad, do: Open the barrier, sets: { barrier: open }, oncePerSite: true }
- { id: failed, end: failed }
- { id: alone, do: Leave all of it alone and call the helpline }
- { id: stuck, end: failed, leaves: { card: in, array: isolated, hub: off, barrier: shut } }
`;
const site = (procedure = sound, changes: Written = {}): Written =>
  writtenProduct({
    positions,
    never,
    whileBusy: { card: 'in', hub: 'off' },
    procedure: steps(procedure),
    ...changes,
  });
const checked = (product: Written) => checkGaps(productSchema.parse(product));
const stopsOf = (product: Written) =>
  checked(product)
    .findings.filter(({ severity }) => severity === 'stop')
    .map(({ code, where }) => `${code} ${where}`);
const without = (...ids: string[]) =>
  sound
    .split('\n')
    .filter((line) => !ids.some((id) => line.includes(`id: ${id},`)))
    .join('\n');
const changed = (from: string, to: string) => {
  expect(sound).toContain(from);
  return sound.replace(from, to);
};

describe('a procedure at its turn', () => {
  const product = productSchema.parse(site());
  const ids = (first: boolean, last: boolean) =>
    productAtTurn(product, { first, last }).procedure.map(({ id }) => id);

  test('the first of several opens the site, the last one closes it, one alone does both', () => {
    expect(productAtTurn(product, { first: true, last: true })).toBe(product);
    expect(ids(true, false)).not.toContain('hub-on');
    expect(ids(true, false).slice(0, 4)).toEqual(['hub-off', 'shut', 'settle', 'isolate']);
    expect(ids(false, false)[0]).toBe('isolate');
    expect(ids(false, true)).toContain('open-bad');
    expect(siteOpened(product)).toEqual({ hub: 'off', barrier: 'shut' });
    const { positions: between } = productAtTurn(product, { first: false, last: false });
    expect([between.hub, between.card]).toEqual([
      { ...positions.hub, starts: 'off', ends: 'off' },
      positions.card,
    ]);
  });

  test('what led to a step that is left out leads to the next one that is not', () => {
    const leading = productSchema.parse(
      site(
        changed('taken: out,', 'taken: hub-on,').replace(
          'sets: { card: out } }\n- { id: connect,',
          'sets: { card: out } }\n- { id: connect,',
        ),
      ),
    );
    const look = productAtTurn(leading, { first: true, last: false }).procedure.find(
      ({ id }) => id === 'look',
    );
    expect(look).toMatchObject({ watch: { taken: 'done' } });
  });
});

describe('sound', () => {
  test.each<[string, string]>([
    ['hub and barrier', sound],
    [
      'only opened, never closed, where the site may stay so',
      sound.replaceAll('barrier: open }', 'barrier: open }'),
    ],
    [
      'only the wait is shared',
      without('hub-off', 'shut', 'hub-on', 'open', 'hub-on-bad', 'open-bad')
        .replaceAll(', needs: { barrier: shut }', '')
        .replaceAll(', needs: { hub: off }', '')
        .replaceAll(', hub: off, barrier: shut', ''),
    ],
  ])('%s', (name, procedure) => {
    const alone = name.startsWith('only the wait') ? { never: [], whileBusy: { card: 'in' } } : {};
    expect(stopsOf(site(procedure, alone))).toEqual([]);
  });

  test('without a mark nothing is looked at twice', () => {
    const plain = site(sound.replaceAll(', oncePerSite: true', ''));
    expect(checked(plain).states).toBeLessThan(checked(site()).states);
  });
});

describe('planted', () => {
  test.each<[string, string, string[]]>([
    [
      'an earlier unit left with its card in, the hub switched on for the last',
      changed(
        'leaves: { card: in, array: isolated, hub: off, barrier: shut }',
        'leaves: { card: in, array: isolated }',
      ).replace('id: alone, do: Leave all of it alone and call the helpline', 'id: alone, do: Leave it'),
      ['end-state stuck', 'never-true hub-on', 'never-true open', 'busy-broken hub-on'],
    ],
    [
      'the barrier is opened at every unit',
      changed(
        'sets: { barrier: open }, oncePerSite: true }\n- { id: done',
        'sets: { barrier: open } }\n- { id: done',
      ),
      ['schema'],
    ],
    [
      'the card needs what only the last unit sets',
      changed(
        'id: out-bad, do: Slide the card out,',
        'id: out-bad, do: Slide the card out, needs: { hub: on },',
      ),
      ['needs-fails out-bad'],
    ],
    [
      'an end that the site is not in at the first of several',
      changed(
        '- { id: connect-bad',
        '- { id: leave-open, do: Look, needs: { hub: off } }\n- { id: connect-bad',
      ).replace('id: failed, end: failed', 'id: failed, end: failed, leaves: { hub: on }'),
      ['end-state failed'],
    ],
    [
      'connected only after the barrier is open',
      changed(
        'needs: { card: out }, sets: { array: connected }',
        'needs: { card: out, barrier: open }, sets: { array: connected }',
      ),
      ['needs-fails connect'],
    ],
    [
      'never both, and a unit between others is',
      changed('needs: { card: out }, sets: { array: connected }', 'needs: { card: out }').replace(
        'id: done, end: updated',
        'id: done, end: updated, leaves: { array: isolated }',
      ),
      ['never-true open'],
    ],
    [
      'the first unit is done with the hub on',
      without('hub-off'),
      ['needs-fails insert', 'never-true insert', 'busy-broken look', 'end-state stuck'],
    ],
  ])('%s', (_, procedure, told) => {
    if (told[0] === 'schema') {
      // The structural rules come first, and name it.
      expect(lintCodes(site(procedure))).toContain('schema');
      return;
    }
    expect([...new Set(stopsOf(site(procedure)))].sort()).toEqual(
      expect.arrayContaining([...told].sort().slice(0, 1)),
    );
    const codes = new Set(stopsOf(site(procedure)).map((one) => one.split(' ')[0]));
    for (const one of told) expect([...codes], one).toContain(one.split(' ')[0]);
  });

  test('the way names both units', () => {
    const { findings } = checked(
      site(
        changed(
          'leaves: { card: in, array: isolated, hub: off, barrier: shut }',
          'leaves: { card: in, array: isolated }',
        ),
      ),
    );
    const told = findings.find(({ seen }) => seen?.startsWith('an earlier unit'));
    expect(told?.seen).toMatch(/the end `stuck`\. Then at the last unit: .*`hub-on`/);
    expect(told?.summary).toContain('of a unit done earlier');
  });
});

function lintCodes(product: Written): string[] {
  const parsed = productSchema.parse(product);
  return lintOncePerSite(parsed).map(({ code }) => code);
}

describe('the structural rules', () => {
  test.each([
    ['then', 'then: insert'],
    ['tries', 'then: insert, tries: 2, otherwise: alone'],
  ])('a step done once goes on to the next: %s', (_, keys) => {
    const product = site(
      changed('id: shut, do: Shut the barrier,', `id: shut, do: Shut the barrier, ${keys},`),
    );
    expect(lintCodes(product)).toEqual(['schema']);
  });

  test('it is never the last, and what it sets is set by none that is done at every unit', () => {
    expect(lintCodes(site(`${sound}- { id: end-of-it, do: Go, oncePerSite: true }`))).toEqual(['schema']);
    expect(lintCodes(site())).toEqual([]);
  });

  test('a measurement, a look or an end cannot be marked', () => {
    for (const [from, to] of [
      ['within: 10min,', 'within: 10min, oncePerSite: true,'],
      ['end: updated', 'end: updated, oncePerSite: true'],
    ] as const) {
      expect(productSchema.safeParse(site(changed(from, to))).success).toBe(false);
    }
  });
});

/** Codes with their subjects, as the judge of single procedures has them. */
function judged(product: Written): Set<string> {
  const alone = judge({ ...product, whileBusy: {} });
  const flat = judge(flatSite(product));
  expect([alone.finished, flat.finished]).toEqual([true, true]);
  const keys = [
    ...alone.shortest.keys(),
    ...[...flat.shortest.keys()].map((key) => unflattened(key, product) ?? ''),
  ];
  return new Set(keys.filter((key) => /^(needs-fails|end-state|never-true) /.test(key)));
}

function found(product: Written): Set<string> {
  const { findings } = checked({ ...product, whileBusy: {} });
  return new Set(
    findings.flatMap(({ code, where, position, neverRule }) => {
      if (code === 'never-true') return [`never-true ${neverRule}`];
      return code === 'needs-fails' || code === 'end-state' ? [`${code} ${where} ${position}`] : [];
    }),
  );
}

test('the judge sees what is planted by itself', () => {
  expect(judged(site())).toEqual(new Set());
  expect(judged(site(without('hub-off')))).toContain('never-true 0');
});

const first = Number(process.env.SLOTPROOF_SEED ?? 1);
test('random marks, needs, ends and rules: told alike by playing two units out', () => {
  const seen = { sound: 0, faulty: 0, ofSite: 0 };
  for (let seed = first; seed < first + 250; seed++) {
    const random = seededNumbers(seed);
    const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!;
    const product = site();
    const procedure = product.procedure as Written[];
    for (let changes = 0; changes < 1 + random() * 2; changes++) {
      const step = pick(procedure.filter((one) => 'do' in one));
      const name = pick(Object.keys(positions)) as keyof typeof positions;
      const state = pick(positions[name].states);
      const what = random();
      if (what < 0.35) step.needs = { ...(step.needs as object), [name]: state };
      else if (what < 0.6) {
        const end = pick(procedure.filter((one) => 'end' in one));
        end.leaves = { ...(end.leaves as object), [name]: state };
      } else if (what < 0.8) {
        (product.never as object[]).push({
          when: { [name]: state, [pick(Object.keys(positions))]: pick(['on', 'off', 'in', 'out']) },
          why: 'x',
        });
      } else step.do = 'Something else';
    }
    // States of other positions make no rule.
    product.never = (product.never as { when: Record<string, string> }[]).filter(({ when }) =>
      Object.entries(when).every(([name, state]) =>
        positions[name as keyof typeof positions].states.includes(state),
      ),
    );
    const parsed = productSchema.parse(product);
    if (lintOncePerSite(parsed).length > 0) continue;
    const theirs = judged(product);
    expect(
      found(product),
      `SLOTPROOF_SEED=${seed} npx vitest run tests/unit/procedure/check-site.test.ts`,
    ).toEqual(theirs);
    const alone = new Set([...judge({ ...product, whileBusy: {} }).shortest.keys()]);
    if (theirs.size === 0) seen.sound++;
    else seen.faulty++;
    if ([...theirs].some((key) => !alone.has(key))) seen.ofSite++;
  }
  expect(Math.min(seen.sound, seen.faulty, seen.ofSite), JSON.stringify(seen)).toBeGreaterThan(15);
});
