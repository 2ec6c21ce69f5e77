// The audit as text, page and table: nothing from outside may become a formula, a tag or a control character,
// every unit stands in page and table, and text keeps to its width with what matters last.

import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { auditFleet } from '../../../src/fleet/audit.ts';
import { csvCell, renderAuditCsv } from '../../../src/fleet/audit-csv.ts';
import { auditHtmlStart, renderAuditHtml } from '../../../src/fleet/audit-html.ts';
import { renderAuditText, renderNoUnits } from '../../../src/fleet/audit-text.ts';
import { routesOn } from '../../../src/fleet/routes.ts';
import type { UnitState, VersionKnown } from '../../../src/record/unit-state.ts';
import { htmlText } from '../../../src/words/html-text.ts';
import { catalogue, dayOf, noon, outcomeEntry, release, unit } from './fleet-fixture.ts';

const known = catalogue([
  release({ version: '1.0', sequence: 1, withdrawnOn: '2026-10-02' }),
  release({ version: '2.0', sequence: 2, due: '2026-10-20', from: { kind: 'list', versions: ['1.0'] } }),
]);
const read = (version: string): VersionKnown => ({
  version,
  evidence: 'read',
  atMs: noon('2026-10-01'),
  dated: true,
});
const has = (serial: string, version: string, more: Partial<UnitState> = {}) =>
  unit({ serial, version: read(version), versionRead: read(version), ...more });

const units = [
  has('U1', '1.0'),
  has('U2', '2.0', { site: 'Beck Mill' }),
  has('U3', '0.1', { site: '=1+1' }),
  has('U4', '2.0', { left: 'locked-off' }),
  unit({ serial: 'U5', site: '<b>"Hill" & Dale</b>\u001b[31m' }),
];
const failures = ['U1', 'U2', 'U3'].map((serial, at) =>
  outcomeEntry(
    { serial, outcome: at < 2 ? 'failed' : 'updated', release: 'rill-40@2.0', card: `K${at % 2}` },
    `2026-10-0${at + 1}`,
  ),
);
const audit = auditFleet({
  catalogue: known,
  routes: routesOn(known, '2026-10-21'),
  units,
  outcomes: failures,
  dayOf,
  endMs: noon('2026-10-21'),
});
const facts = { columns: 80, knownAsOf: '2026-10-20 08:00', scope: [], visits: null, dayOf };

describe('text', () => {
  it.each([40, 60, 80, 92, 200])('keeps to %i columns', (columns) => {
    for (const line of renderAuditText(audit, { ...facts, columns }).split('\n'))
      expect([...line].length, line).toBeLessThanOrEqual(columns);
  });

  it('is a table where there is room', () => {
    expect(renderAuditText(audit, { ...facts, columns: 110 })).toMatch(/^ {2}SERIAL +SITE +REV +VERSION/m);
    expect(renderAuditText(audit, { ...facts, columns: 60 })).not.toContain('SERIAL  ');
  });

  it('is no table where a row would run over the edge', () => {
    const serial = 'S'.repeat(24);
    const long = auditFleet({
      catalogue: known,
      routes: routesOn(known, '2026-10-19'),
      units: [
        has(serial, '1.0', { site: 'The upper yard of Alder Farm', hardware: 'A' }),
        has('X', '0.1.2.3.4.5.6.7.8.9.0.1.2.3'),
      ],
      outcomes: [],
      dayOf,
      endMs: noon('2026-10-19'),
    });
    for (const line of renderAuditText(long, { ...facts, columns: 92 }).split('\n'))
      expect(line.length, line).toBeLessThanOrEqual(92);
  });

  it('ends with what needs doing and the counts, the halted release right before', () => {
    const text = renderAuditText(audit, facts);
    expect(text.split('\n').at(-1)).toBe('5 units: 1 overdue, 1 no-path, 1 unknown, 2 current.');
    expect(text.indexOf('What needs doing')).toBeGreaterThan(text.indexOf('Units that need something'));
    expect(text.slice(text.indexOf('What needs doing'))).toContain('HALT rill-40@2.0: 2 of 3 failed.');
    expect(text).toContain('by card: K0 1 of 2; K1 1 of 1');
  });

  it('names the unit that is current but not left running, and not the one that needs nothing', () => {
    const text = renderAuditText(audit, facts);
    expect(text).toContain('U4');
    expect(text).toContain('Left locked off.');
    expect(text).not.toContain('U2,');
  });

  it('prints no control characters', () => {
    expect(renderAuditText(audit, facts)).not.toContain('\u001b');
  });

  it('keeps the most urgent of a long list', () => {
    const many = Array.from({ length: 300 }, (_, i) => has(`D${i}`, '1.0'));
    const failed = {
      kind: 'failed',
      evidence: 'lights',
      by: 'x',
      atMs: noon('2026-10-05'),
      entryId: 'e',
    } as const;
    const long = auditFleet({
      catalogue: known,
      routes: routesOn(known, '2026-10-19'),
      units: [...many, has('FAILED1', '1.0', { lastOutcome: failed, lastDecisive: failed })],
      outcomes: [],
      dayOf,
      endMs: noon('2026-10-19'),
    });
    const text = renderAuditText(long, facts);
    expect(text).toContain('FAILED1');
    expect(text).toContain('181 less urgent units not shown');
  });

  it('says that nobody is registered', () => {
    expect(renderNoUnits({ columns: 60, scope: [] })).toContain('No unit is registered');
    expect(renderNoUnits({ columns: 60, scope: ['rill-40'] })).toContain('rill-40');
  });
});

describe('csv', () => {
  it.each([
    ['=1+1', "'=1+1"],
    ['+49', "'+49"],
    ['-2', "'-2"],
    ['@SUM(A1)', "'@SUM(A1)"],
    [' =1', "' =1"],
    ['\t=1', "'\\x09=1"],
    ['\uff1d1', "'\uff1d1"],
    ['a=1', 'a=1'],
    ['3.8.0', '3.8.0'],
    ['a,b', '"a,b"'],
    ['say "x"', '"say ""x"""'],
    ['a;b', '"a;b"'],
    ['=A1,B', '"\'=A1,B"'],
  ])('%j becomes %j', (cell, expected) => {
    expect(csvCell(cell)).toBe(expected);
  });

  it('reads back with another parser, every unit a row', () => {
    const rows = parse(renderAuditCsv(audit.rows, dayOf), {
      columns: true,
      record_delimiter: '\r\n',
    }) as Record<string, string>[];
    expect(rows.map(({ serial }) => serial)).toEqual(audit.rows.map((row) => row.unit.serial));
    const first = rows.find(({ serial }) => serial === 'U1');
    expect(first).toMatchObject({
      status: 'overdue',
      late: 'yes',
      onWithdrawn: 'yes',
      target: 'rill-40@2.0',
      path: '2.0',
    });
    for (const row of rows) for (const cell of Object.values(row)) expect(cell).not.toMatch(/^[=+\-@]/);
  });

  it('marks its encoding only where that matters', () => {
    expect(renderAuditCsv(audit.rows, dayOf).startsWith('serial,')).toBe(true);
    const accented = audit.rows.map((row) => ({ ...row, unit: { ...row.unit, site: 'Älm' } }));
    expect(renderAuditCsv(accented, dayOf).startsWith('\ufeffserial,')).toBe(true);
  });
});

describe('html', () => {
  const html = renderAuditHtml(audit, facts);

  it('lets nothing from outside become a tag or an attribute', () => {
    expect(html).toContain('&lt;b&gt;&quot;Hill&quot; &amp; Dale&lt;/b&gt;');
    expect(html).not.toContain('<b>');
    expect(html).not.toContain('\u001b');
    expect(htmlText(`<a href='x'>&`)).toBe('&lt;a href=&#39;x&#39;&gt;&amp;');
  });

  it('lets nothing out of visits and cards either', () => {
    const row = audit.rows.find(({ unit: { serial } }) => serial === 'U5')!;
    const none = { leftOff: [], failed: [], notDone: [], noWord: [], toCome: [], done: [] };
    const visited = { row, date: null, outcome: null, why: '<i>why</i>' };
    const card = { card: '<img src=x>', release: 'r@1', preparedMs: 0, by: '<u>', usedAt: '<s>' };
    const visits = { ...none, noWord: [visited], cardsNotBack: [card] };
    const page = renderAuditHtml(audit, { ...facts, visits });
    expect(page).toContain('&lt;i&gt;why');
    expect(page).toContain('&lt;img');
    expect(page).not.toMatch(/<(i|img|u|s|b)\b/);
    expect(page).toContain('No word: 1');
    expect(page).toContain('Cards not back: 1');
  });

  it('stands alone: no script, nothing fetched, and print has its own style', () => {
    expect(html.startsWith(auditHtmlStart)).toBe(true);
    expect(html).not.toMatch(/<script|<link|<img|<iframe|https?:|url\(|@import/i);
    expect(html).toContain('@media print');
    expect(html).toContain("default-src 'none'");
  });

  it('says every status in words, every unit, the halt and the counts', () => {
    for (const {
      unit: { serial },
      standing,
    } of audit.rows) {
      const row = html.split('<tr').find((one) => one.includes(`>${serial}<`));
      expect(row).toContain(standing.status);
    }
    expect(html).toContain('HALT rill-40@2.0');
    expect(html).toContain('5 units: 1 overdue');
  });

  it('names each cell for screens that show no columns, and lets only words longer than any of ours break', () => {
    const row = html.split('<tr').find((one) => one.includes('>U2<')) ?? '';
    const heads = [...html.matchAll(/<th scope="col">([^<]*)</g)].map(([, name]) => name);
    expect([...row.matchAll(/ data-name="([^"]*)"/g)].map(([, name]) => name)).toEqual(heads);
    expect(html).not.toContain('class="long"');
    const serial = 'U'.repeat(21);
    const [first] = audit.rows;
    const page = renderAuditHtml({ ...audit, rows: [{ ...first!, unit: unit({ serial }) }] }, facts);
    expect(page).toContain(`<td class="long" data-name="Serial">${serial}<`);
  });

  it('has balanced tags', () => {
    const open: string[] = [];
    for (const [, close, name = ''] of html.matchAll(/<(\/?)([a-z][a-z0-9]*)\b[^>]*>/g)) {
      if (['meta', 'br'].includes(name)) continue;
      if (close === '') open.push(name);
      else expect(open.pop()).toBe(name);
    }
    expect(open).toEqual([]);
  });
});
