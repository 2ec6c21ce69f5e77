// A report in all its forms, judged by the entries themselves: every word that stands in a body must stand in the report,
// whatever else it says. The judge is shown reports that leave something out.

import { describe, expect, test } from 'vitest';
import { openPdfPress } from '../../../src/adapters/pdf/open-pdf-press.ts';
import type { Entry } from '../../../src/ports/record-store.ts';
import { foldUnit } from '../../../src/record/fold-unit.ts';
import type { Report } from '../../../src/report/report.ts';
import { reportContent } from '../../../src/report/report-content.ts';
import type { ReportFacts } from '../../../src/report/report-facts.ts';
import { renderReportHtml } from '../../../src/report/report-html.ts';
import { renderReportPdf } from '../../../src/report/report-pdf.ts';
import { renderReportText } from '../../../src/report/report-text.ts';
import { chainOf, day, newYear } from '../../support/entries.ts';
import { pdfText } from '../../support/pdf-pages.ts';
import { pump, releaseOf } from '../sheet/sheet-fixture.ts';

const serial = 'TR00000018';
const at = (days: number) => newYear + days * day;
const sha = (digit: string) => digit.repeat(64);

function history() {
  const { add, entries } = chainOf('kf');
  const mine = { serial };
  add(
    'unit-added',
    { ...mine, product: 'rill-40', hardware: 'B', site: 'Alder Farm', details: { role: 'well pump' } },
    at(0),
  );
  add('version-seen', { ...mine, version: '4.0.0', evidence: 'reported', dated: true }, at(1));
  add('unit-changed', { ...mine, details: { address: 'Mill Lane 4' } }, at(1.1));
  add('unit-moved', { ...mine, site: 'Mill Acre', from: 'Alder Farm', why: 'the well ran dry' }, at(1.2));
  add('exemption-begun', { ...mine, why: 'out of season', until: '2026-01-02' }, at(1.3));
  add('exemption-ended', { ...mine, why: 'needed again' }, at(1.4));
  add('unit-retired', { ...mine, why: 'swapped for a new one' }, at(1.5));
  const visit = add('visit-begun', { ...mine, release: 'rill-40@4.2.0', procedure: sha('9') }, at(2));
  add(
    'step-done',
    {
      ...mine,
      visit: visit.id,
      part: 'procedure',
      step: 'dead',
      result: 'passes',
      positions: { array: 'isolated' },
      facts: { readings: [1.5, -2], unit: 'V DC' },
    },
    at(2.01),
  );
  add(
    'step-done',
    {
      ...mine,
      visit: visit.id,
      part: 'procedure',
      step: 'look',
      result: 'lights',
      pattern: 'taken',
      positions: { array: 'isolated', card: 'in' },
      facts: {},
    },
    at(2.02),
  );
  add(
    'visit-ended',
    {
      ...mine,
      visit: visit.id,
      release: 'rill-40@4.2.0',
      outcome: 'updated',
      step: 'finished',
      by: 'procedure',
      positions: { array: 'connected' },
      notRestored: ['bus address'],
    },
    at(2.03),
  );
  const wrong = add(
    'outcome',
    {
      ...mine,
      outcome: 'failed',
      evidence: 'lights',
      release: 'rill-40@4.2.0',
      lights: 'turned-down',
      left: 'locked-off',
      cause: 'card',
      card: 'KF-01',
      case: 'T-4471',
      told: 'M. Tansy',
      note: 'second try <b>tomorrow</b>',
      photos: [
        { sha256: sha('a'), bytes: 1234, name: 'plate.jpg' },
        { sha256: sha('b'), bytes: 99, name: 'display.jpg' },
      ],
    },
    at(3),
  );
  add(
    'outcome',
    {
      ...mine,
      outcome: 'updated',
      evidence: 'read',
      release: 'rill-40@4.2.0',
      versionBefore: '4.0.0',
      versionRead: '4.2.0',
      displayConfirmed: true,
      said: 'updated',
      lights: 'taken',
      left: 'running',
      card: 'KF-01',
      sheet: 'S-1234',
      collected: { form: 'qr', id: 'c'.repeat(32), sha256: sha('d') },
    },
    at(4),
  );
  add(
    'note',
    { ...mine, text: 'the flap is stiff', photos: [{ sha256: sha('e'), bytes: 7, name: 'flap.jpg' }] },
    at(5),
  );
  add(
    'correction',
    {
      ...mine,
      corrects: { id: wrong.id, hash: wrong.hash },
      kind: 'outcome',
      why: 'the unit, not the card',
      body: {
        serial,
        outcome: 'failed',
        evidence: 'lights',
        cause: 'unit',
        versionBefore: '4.0.1',
        note: `${'all of it, '.repeat(60)}to the last word`,
        photos: [{ sha256: sha('f'), bytes: 5, name: 'fuse.jpg' }],
      },
      bodyVersion: 1,
    },
    at(6),
  );
  const cards = chainOf('kg');
  const prepared = (days: number, digit: string) =>
    cards.add(
      'card-prepared',
      {
        card: 'KF-01',
        release: 'rill-40@4.2.0',
        verdict: 'ready',
        file: { path: 'RILL40.FWU', bytes: 18_874_368, sha256: sha(digit) },
        readBack: { method: 'direct', sha256: sha(digit) },
        sizeBytes: 8e9,
        volumeId: '1A2B-3C4D',
        fresh: true,
        kept: 1,
        removed: 2,
        despiteHalt: 'the maker said so',
      },
      at(days),
    );
  prepared(2.5, '5');
  cards.add(
    'card-checked',
    { card: 'KF-01', release: 'rill-40@4.2.0', verdict: 'fixable', stops: ['stray-file'] },
    at(2.7),
  );
  const voided = prepared(2.8, '7');
  cards.add(
    'correction',
    {
      corrects: { id: voided.id, hash: voided.hash },
      kind: 'card-prepared',
      why: 'another card was in the reader',
      void: true,
    },
    at(2.9),
  );
  // After it was used: not the preparation that counts for these outcomes.
  prepared(9, '6');
  return { entries, cardEntries: cards.entries };
}

const { entries, cardEntries } = history();
const product = { ...pump(), revision: 3, writtenBy: 'a lead', checkedBy: 'another lead' };
const facts: ReportFacts = {
  unit: foldUnit(entries)!,
  standing: { status: 'failed', why: 'because' },
  entries,
  cardEntries,
  product,
  releases: [],
  procedures: new Map([['rill-40@4.2.0', sha('8')]]),
  marks: [{ laptop: 'kf', seq: entries.length, hash: entries.at(-1)!.hash }],
  made: { at: '2026-02-01T10:00:00.000+00:00', by: 'R. Quill' },
  newsDay: '2026-01-31',
};
const report = reportContent(facts);

const bare = (text: string) => text.replace(/\s+/g, '');
/** Words of bodies that stand for something else in a report, or say how the record itself works. */
const inOtherWords = new Set([
  'lights',
  'read',
  'reported',
  'procedure',
  'qr',
  'direct',
  'image',
  'outcome',
  'card-prepared',
  'c'.repeat(32),
  // What was void proves nothing: its digest stands nowhere.
  sha('7'),
]);

/** Every text and number in the bodies of entries, and who and which they are. */
function wordsOf(all: readonly Entry[]): string[] {
  const words: string[] = [];
  const gather = (value: unknown): void => {
    if (typeof value === 'string') words.push(value);
    else if (typeof value === 'number') words.push(value.toLocaleString('en'), String(value));
    else if (Array.isArray(value)) value.forEach(gather);
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(gather);
  };
  for (const { id, hash, doneBy, typedBy, body } of all) {
    words.push(id, hash, doneBy, typedBy);
    gather(body);
  }
  return [...new Set(words)].filter((word) => !inOtherWords.has(word));
}

/** A number may stand there in either way. */
function missing(text: string, all: readonly Entry[]): string[] {
  const there = bare(text);
  const has = (word: string) => there.includes(bare(word));
  return wordsOf(all).filter((word) => {
    if (has(word)) return false;
    const number = Number(word.replaceAll(',', ''));
    return !Number.isFinite(number) || !(has(String(number)) || has(number.toLocaleString('en')));
  });
}

/** The preparation after the last use is not of this claim; its entry is named all the same. */
const claimed = [...entries, ...cardEntries.slice(0, -1)];

const unescaped = (html: string) =>
  html
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&');

describe('everything on record stands in it', () => {
  test('as text, wide and narrow', () => {
    for (const width of [60, 100]) {
      const text = renderReportText(report, width);
      expect(missing(text, claimed)).toEqual([]);
      for (const line of text.split('\n'))
        if (!/[0-9a-f]{40}/.test(line)) expect(line.length, line).toBeLessThanOrEqual(width);
    }
  });

  test('as HTML, escaped, with nothing to fetch', () => {
    const html = renderReportHtml(report);
    expect(missing(unescaped(html), claimed)).toEqual([]);
    expect(html).toContain('&lt;b&gt;tomorrow&lt;/b&gt;');
    expect(html).not.toMatch(/<b>|<script|https?:|url\(/);
    expect(html).toContain("default-src 'none'");
  });

  test('as PDF: the same bytes again', async () => {
    const press = await openPdfPress();
    const options = { paper: 'a4', madeMs: at(7) } as const;
    const pdf = await renderReportPdf(report, press, options);
    // Words that break at the end of a line get no hyphen.
    expect(missing(pdfText(pdf).join(' '), claimed)).toEqual([]);
    expect(Buffer.compare(await renderReportPdf(reportContent(facts), press, options), pdf)).toBe(0);
  });

  test('the judge sees what is left out: any one section, any one row', () => {
    for (const [at, section] of report.sections.entries()) {
      const less: Report = { ...report, sections: report.sections.filter((_, index) => index !== at) };
      const says = bare(renderReportText(less, 100));
      const whole = bare(renderReportText(report, 100));
      expect(says.length, section.title).toBeLessThan(whole.length);
    }
    const noOutcomes = {
      ...report,
      sections: report.sections.filter(({ title }) => !title.startsWith('Outcome')),
    };
    expect(missing(renderReportText(noOutcomes, 100), claimed)).toContain('plate.jpg');
    const noEntries = {
      ...report,
      sections: report.sections.filter(({ title }) => !title.startsWith('The entries')),
    };
    expect(missing(renderReportText(noEntries, 100), claimed)).toContain(entries[0]!.hash);
    const noRegister = {
      ...report,
      sections: report.sections.filter(({ title }) => title !== 'In the register'),
    };
    expect(missing(renderReportText(noRegister, 100), claimed)).toContain('the well ran dry');
    const noCorrections = {
      ...report,
      sections: report.sections.filter(({ title }) => title !== 'Corrections'),
    };
    expect(missing(renderReportText(noCorrections, 100), claimed)).toContain('fuse.jpg');
  });
});

describe('what it says of them', () => {
  const text = renderReportText(report, 100).replace(/\s+/g, ' ');

  test('the card as it was when it was used, not as it was prepared later', () => {
    const outcomes = report.sections.filter(({ title }) => title.startsWith('Outcome'));
    const said = JSON.stringify(outcomes);
    expect(said).toContain(sha('5'));
    expect(said).not.toContain(sha('6'));
    expect(said).toContain('past the computer’s memory');
  });

  test('a preparation that was made void proves nothing, and is named with the reason', () => {
    const said = JSON.stringify(report.sections.filter(({ title }) => title.startsWith('Outcome')));
    expect(said).not.toContain(sha('7'));
    expect(said).toContain('another card was in the reader');
    const onlyVoid = reportContent({ ...facts, cardEntries: cardEntries.slice(2, 4) });
    const outcomes = JSON.stringify(onlyVoid.sections.filter(({ title }) => title.startsWith('Outcome')));
    expect(outcomes).toContain('No preparation of this card that counts is on record.');
    expect(outcomes).not.toContain('Read back');
  });

  test('versions: what does not count is told as such, and what stands in its place', () => {
    const { add, entries } = chainOf('ki');
    add('unit-added', { serial, product: 'rill-40', hardware: 'B', site: null, details: {} }, at(0));
    const log = (versionRead: string, days: number) =>
      add('outcome', { serial, outcome: 'updated', evidence: 'read', versionRead }, at(days));
    const [gone, mended] = [log('4.1.0', 1), log('4.3.0', 2)];
    const corrects = ({ id, hash }: Entry) => ({
      serial,
      corrects: { id, hash },
      kind: 'outcome',
      why: 'misread',
    });
    const first = add('correction', { ...corrects(gone), void: true }, at(3));
    const body = { serial, outcome: 'updated', evidence: 'read', versionRead: '4.2.0' };
    const second = add('correction', { ...corrects(mended), body, bodyVersion: 1 }, at(2), at(4));
    const { sections } = reportContent({ ...facts, entries, cardEntries: [], unit: foldUnit(entries)! });
    const blocks = sections.find(({ title }) => title === 'Versions')!.blocks;
    const rows = blocks.flatMap((block) => (block.kind === 'table' ? block.table.rows : []));
    expect(rows.map((row) => [row[1], row[4], row[5]])).toEqual([
      ['4.1.0', gone.id, `does not count (${first.id})`],
      ['4.3.0', mended.id, `corrected (${second.id})`],
      ['4.2.0', second.id, `in place of ${mended.id}`],
    ]);
  });

  test('of the very procedure that was walked: settings by their names, and the meter shown good', () => {
    const visit = entries.find(({ kind }) => kind === 'visit-begun')!;
    const measure = product.procedure.find((one) => one.kind === 'measure' && one.measure.proveMeter)!;
    const { add, entries: walk } = chainOf('kj');
    add('unit-added', { serial, product: 'rill-40', hardware: 'B', site: null, details: {} }, at(0));
    const begun = add('visit-begun', visit.body as never, at(1));
    const step = { serial, visit: begun.id, positions: {}, part: 'before' as const };
    add('step-done', { ...step, step: 'settings', result: 'noted', facts: { values: ['7', '9'] } }, at(1.1));
    add(
      'step-done',
      {
        ...step,
        part: 'procedure',
        step: measure.id,
        result: 'passes',
        facts: { readings: [0], unit: 'V DC' },
      },
      at(1.2),
    );
    const said = (procedure: string) =>
      renderReportText(
        reportContent({
          ...facts,
          entries: walk,
          cardEntries: [],
          unit: foldUnit(walk)!,
          releases: [releaseOf()],
          procedures: new Map([['rill-40@4.2.0', procedure]]),
        }),
        200,
      );
    expect(said(sha('9'))).toContain('bus address 7, speed limit 9');
    expect(said(sha('9'))).toContain('readings 0, unit V DC, the meter shown good before and after');
    // Of another procedure today's manifest says nothing.
    expect(said(sha('8'))).not.toMatch(/bus address|meter shown good/);
  });

  test('a corrected outcome: both, and which counts', () => {
    expect(text).toContain('It counts as corrected: the unit, not the card');
    expect(text).toContain('second try <b>tomorrow</b>');
  });

  test('lights with what they mean, the procedure’s source, and that it was another than today', () => {
    const means = product.patterns.find(({ id }) => id === 'taken')!.means;
    expect(text).toContain(`taken: ${means}`);
    expect(text).toContain('another than the manifest has today');
    expect(text).toContain('Checked for gaps; not a safety approval.');
  });

  test('control characters of any text are shown, not obeyed', () => {
    const hostile = reportContent({ ...facts, standing: { status: 'failed', why: 'a\u001b[2Jb' } });
    expect(renderReportText(hostile, 80)).not.toContain('\u001b');
    expect(renderReportHtml(hostile)).not.toContain('\u001b');
  });

  test('a unit of which hardly anything is known', () => {
    const { add, entries } = chainOf('kh');
    add('unit-added', { serial, product: 'gone-1', hardware: null, site: null, details: {} }, at(0));
    const few = reportContent({
      ...facts,
      entries,
      cardEntries: [],
      unit: foldUnit(entries)!,
      product: undefined,
    });
    expect(few.sections.map(({ title }) => title)).toEqual([
      'The unit',
      'In the register',
      'The entries behind this',
      'What this rests on',
    ]);
  });
});
