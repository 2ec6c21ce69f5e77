// A list of visits and what became of it: one case a class, in the order in which they are told, and the lines
// that are refused. The right answers are written out by hand.

import { describe, expect, it } from 'vitest';
import { auditFleet } from '../../../src/fleet/audit.ts';
import { readCsvTable } from '../../../src/fleet/csv-table.ts';
import { routesOn } from '../../../src/fleet/routes.ts';
import { readVisits, visitFields } from '../../../src/fleet/visit-list.ts';
import { type VisitQuestion, visitResults, visitResultsOf } from '../../../src/fleet/visit-results.ts';
import type { CardPrepared } from '../../../src/record/entry.ts';
import { knownCards } from '../../../src/record/known-cards.ts';
import type { Outcome, UnitState } from '../../../src/record/unit-state.ts';
import { catalogue, dayOf, entryFacts, noon, outcomeEntry, product, release, unit } from './fleet-fixture.ts';

const known = catalogue(
  [
    release({ version: '1.0', sequence: 1, from: { kind: 'list', versions: ['0.9'] } }),
    release({ version: '2.0', sequence: 2, from: { kind: 'list', versions: ['1.0'] } }),
  ],
  [{ ...product('rill-40', ['A', 'B']), serial: { pattern: 'U[0-9]+', check: 'none' } }],
);

async function listOf(csv: string, units: readonly UnitState[]) {
  const table = await readCsvTable([new TextEncoder().encode(csv)], {
    path: 'v.csv',
    required: [],
    optional: visitFields,
  });
  return readVisits(table, units, known.products.values());
}

const at = (serial: string, site: string | null = null) => unit({ serial, site });

describe('readVisits', () => {
  const units = [at('U1', 'Alder Farm'), at('U2', 'Alder Farm'), at('U3', 'Beck Mill'), at('U4')];
  const serials = async (csv: string) =>
    (await listOf(csv, units)).visits.map((visit) => visit.units.map(({ serial }) => serial));

  it('takes sites and serials, in any capitals, with date and minutes', async () => {
    expect(await serials('site\nAlder Farm\n beck  mill\n')).toEqual([['U1', 'U2'], ['U3']]);
    expect(await serials('serial\nU4\nu2\n')).toEqual([['U4'], ['U2']]);
    expect((await listOf('date,serial,minutes\n2026-10-21,U1,90\n', units)).visits).toEqual([
      { line: 2, named: 'serial', units: [units[0]], date: '2026-10-21', minutes: 90 },
    ]);
  });

  it('prefers the serial where a line has both', async () => {
    expect(await serials('site,serial\nAlder Farm,U2\nAlder Farm,\n')).toEqual([['U2'], ['U1', 'U2']]);
  });

  it('refuses a line with its number and a near name, and takes the others', async () => {
    const { visits, refused } = await listOf(
      'site,serial,date,minutes\nAldr Farm,,,\n,U11,,\nAlder Farm,,21.10.2026,\nAlder Farm,,,long\n,,2026-10-21,\nBeck Mill,,,\n',
      units,
    );
    expect(visits).toHaveLength(1);
    expect(refused.map(({ line, code }) => [line, code])).toEqual([
      [2, 'site-unknown'],
      [3, 'unit-unknown'],
      [4, 'date-form'],
      [5, 'minutes-form'],
      [6, 'visit-empty'],
    ]);
    expect(refused[0]?.summary).toContain('Alder Farm');
    expect(refused[1]?.summary).toContain('U1');
  });
});

const outcome = (kind: Outcome['kind'], day: string, facts: Partial<Outcome> = {}): Outcome => ({
  kind,
  evidence: facts.versionRead === undefined ? 'lights' : 'read',
  by: 'R. Quill',
  atMs: noon(day),
  entryId: 'e',
  ...facts,
});
const did = (one: Outcome) => ({
  lastOutcome: one,
  ...(one.kind === 'deferred' ? {} : { lastDecisive: one }),
  ...(one.left === undefined ? {} : { left: one.left }),
});
const has = (version: string, day = '2026-10-01') => {
  const read = { version, evidence: 'read' as const, atMs: noon(day), dated: true };
  return { version: read, versionRead: read };
};

async function resultsOf(csv: string, units: UnitState[], more: Partial<VisitQuestion> = {}) {
  const day = '2026-10-21';
  const audit = auditFleet({
    catalogue: known,
    routes: routesOn(known, day),
    units,
    outcomes: [],
    dayOf,
    endMs: noon(day),
  });
  const results = visitResultsOf({
    visits: (await listOf(csv, units)).visits,
    rows: new Map(audit.rows.map((row) => [row.unit.serial, row])),
    day,
    startOfDay: (one) => Date.parse(`${one}T00:00:00Z`),
    cards: [],
    ...more,
  });
  const serials = visitResults.map((result) => [
    result,
    results[result].map(({ row }) => row.unit.serial).join(' '),
  ]);
  return {
    results,
    cards: results.cardsNotBack,
    serials: Object.fromEntries(serials.filter(([, found]) => found !== '')),
  };
}

describe('what became of the visits', () => {
  const updated = outcome('updated', '2026-10-20', { release: 'rill-40@2.0', versionRead: '2.0' });
  const lights = outcome('updated', '2026-10-20', { release: 'rill-40@2.0' });
  const one = async (facts: Partial<UnitState>, csv = 'serial,date\nU1,2026-10-20\n') =>
    (await resultsOf(csv, [unit({ serial: 'U1', ...facts })])).serials;

  it('tells the worst first', async () => {
    expect(visitResults.slice(0, 4)).toEqual(['leftOff', 'failed', 'notDone', 'noWord']);
  });

  it.each([
    ['leftOff', { ...has('1.0'), ...did(outcome('failed', '2026-10-20', { left: 'locked-off' })) }],
    ['leftOff', { ...has('2.0', '2026-10-20'), ...did({ ...updated, left: 'no-life' as const }) }],
    ['failed', { ...has('1.0'), ...did(outcome('failed', '2026-10-20', { left: 'running' })) }],
    ['failed', { ...has('1.0'), ...did(outcome('failed', '2026-09-01')) }],
    ['notDone', { ...has('1.0'), ...did(outcome('deferred', '2026-10-20', { reason: 'no-access' })) }],
    [
      'notDone',
      {
        ...has('1.0', '2026-10-20'),
        ...did(outcome('updated', '2026-10-20', { release: 'rill-40@1.0', versionRead: '1.0' })),
      },
    ],
    ['noWord', has('1.0')],
    ['noWord', { ...has('1.0'), ...did(outcome('deferred', '2026-10-19')) }],
    ['noWord', has('2.0')],
    ['done', { ...has('2.0', '2026-10-20'), ...did(updated) }],
    ['notDone', { ...has('1.0'), ...did(lights) }],
  ])('%s: %j', async (result, facts) => {
    expect(await one(facts as Partial<UnitState>)).toEqual({ [result]: 'U1' });
  });

  it('says what is the matter, the reason of a deferral included', async () => {
    const deferred = { ...has('1.0'), ...did(outcome('deferred', '2026-10-20', { reason: 'no-access' })) };
    const { results } = await resultsOf('serial,date\nU1,2026-10-20\n', [
      unit({ serial: 'U1', ...deferred }),
    ]);
    expect(results.notDone[0]?.why).toContain('no-access');
    expect(results.notDone[0]?.why).toContain('needs 2.0');
  });

  it('waits for a visit that is still to come', async () => {
    expect(await one(has('1.0'), 'serial,date\nU1,2026-10-22\n')).toEqual({ toCome: 'U1' });
    expect(await one(has('1.0'), 'serial,date\nU1,2026-10-21\n')).toEqual({ noWord: 'U1' });
  });

  it('takes a line without a date as the week that ends with the day', async () => {
    const on = (day: string) => ({ ...has('1.0'), ...did(outcome('deferred', day)) });
    expect(await one(on('2026-10-15'), 'serial\nU1\n')).toEqual({ notDone: 'U1' });
    expect(await one(on('2026-10-14'), 'serial\nU1\n')).toEqual({ noWord: 'U1' });
  });

  it('of a site asks for the units that need something', async () => {
    const units = [unit({ serial: 'U1', ...has('2.0') }), unit({ serial: 'U2', ...has('1.0') })];
    expect((await resultsOf('site\nAlder Farm\n', units)).serials).toEqual({ noWord: 'U2' });
  });

  it('counts a unit once: its latest visit that has been, else the first to come', async () => {
    const facts = { ...has('1.0'), ...did(outcome('deferred', '2026-10-18')) };
    expect(await one(facts, 'serial,date\nU1,2026-10-18\nU1,2026-10-20\nU1,2026-10-23\n')).toEqual({
      noWord: 'U1',
    });
    expect(await one(facts, 'serial,date\nU1,2026-10-20\nU1,2026-10-18\n')).toEqual({ noWord: 'U1' });
    expect(await one(facts, 'serial,date\nU1,2026-10-18\n')).toEqual({ notDone: 'U1' });
    expect(await one(facts, 'serial,date\nU1,2026-10-23\nU1,2026-10-18\n')).toEqual({ notDone: 'U1' });
    const { results } = await resultsOf('serial,date\nU1,2026-10-25\nU1,2026-10-23\n', [
      unit({ serial: 'U1', ...facts }),
    ]);
    expect(results.toCome.map(({ date }) => date)).toEqual(['2026-10-23']);
  });
});

describe('cards not back', () => {
  const prepared = (card: string, day: string, facts: Partial<CardPrepared> = {}) => ({
    ...entryFacts(day, 'T. Sedge'),
    kind: 'card-prepared' as const,
    body: {
      card,
      release: 'rill-40@2.0',
      verdict: 'ready' as const,
      file: { path: 'A.FWU', bytes: 1, sha256: '' },
      readBack: { method: 'direct' as const, sha256: '' },
      sizeBytes: 1,
      fresh: false,
      kept: 0,
      removed: 0,
      ...facts,
    },
  });
  const checked = (card: string, day: string) => ({
    ...entryFacts(day, 'T. Sedge'),
    kind: 'card-checked' as const,
    body: { card, verdict: 'sound' as const, stops: [] },
  });
  const cards = async (more: Partial<VisitQuestion>, csv = 'serial,date\nU1,2026-10-20\n') =>
    (await resultsOf(csv, [unit({ serial: 'U1', ...has('1.0') })], more)).cards.map(({ card }) => card);

  it('are those prepared for a product on the list and not seen since', async () => {
    expect(await cards({ cards: knownCards([prepared('K1', '2026-10-19')]) })).toEqual(['K1']);
    expect(
      await cards({ cards: knownCards([prepared('K1', '2026-10-19', { verdict: 'not-ready' })]) }),
    ).toEqual([]);
    expect(
      await cards({ cards: knownCards([prepared('K1', '2026-10-19', { release: 'keld-9@1' })]) }),
    ).toEqual([]);
    expect(await cards({ cards: knownCards([prepared('K1', '2026-10-12')]) })).toEqual([]);
    expect(
      await cards({ cards: knownCards([prepared('K1', '2026-10-19')]) }, 'serial,date\nU1,2026-10-30\n'),
    ).toEqual([]);
  });

  it('are back once they were checked, or prepared anew for something else', async () => {
    const out = [prepared('K1', '2026-10-19'), prepared('K2', '2026-10-19')];
    expect(await cards({ cards: knownCards([...out, checked('K1', '2026-10-21')]) })).toEqual(['K2']);
    expect(await cards({ cards: knownCards([...out, checked('K1', '2026-10-18')]) })).toEqual(['K1', 'K2']);
    const anew = prepared('K1', '2026-10-21', { verdict: 'not-ready' });
    expect(await cards({ cards: knownCards([...out, anew]) })).toEqual(['K2']);
    const forAnother = prepared('K1', '2026-10-21');
    expect(await cards({ cards: knownCards([...out, forAnother]) })).toEqual(['K2']);
  });

  it('are known by the last part of their path, where one card alone has it', async () => {
    const used = outcomeEntry({ serial: 'U1', outcome: 'failed', card: 'van.img' }, '2026-10-20');
    const usedAt = async (...paths: string[]) =>
      (
        await resultsOf('serial,date\nU1,2026-10-20\n', [unit({ serial: 'U1', ...has('1.0') })], {
          cards: knownCards([...paths.map((path) => prepared(path, '2026-10-19')), used]),
        })
      ).cards.map((card) => card.usedAt);
    expect(await usedAt('/home/q/van.img')).toEqual(['U1']);
    expect(await usedAt('/home/q/van.img', 'van.img')).toEqual([null, 'U1']);
    expect(await usedAt('/home/q/van.img', '/home/r/van.img')).toEqual([null, null]);
  });

  it('say where they were last used; an old card that was used at a listed unit counts', async () => {
    const used = outcomeEntry({ serial: 'U1', outcome: 'failed', card: 'K1' }, '2026-10-20');
    const before = outcomeEntry({ serial: 'U9', outcome: 'failed', card: 'K3' }, '2026-10-18');
    const elsewhere = outcomeEntry({ serial: 'U9', outcome: 'failed', card: 'K2' }, '2026-10-20');
    const found = await resultsOf('serial,date\nU1,2026-10-20\n', [unit({ serial: 'U1', ...has('1.0') })], {
      cards: knownCards([
        ...[prepared('K1', '2026-09-01'), prepared('K2', '2026-09-01'), prepared('K3', '2026-10-19')],
        ...[before, used, elsewhere],
      ]),
    });
    expect(found.cards.map(({ card, usedAt, by }) => [card, usedAt, by])).toEqual([
      ['K1', 'U1', 'T. Sedge'],
      ['K3', null, 'T. Sedge'],
    ]);
  });
});
