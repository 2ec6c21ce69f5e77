// The sheet as a page for a browser, read tag by tag: all of it there, nothing that runs or fetches, names for those
// who hear it, and hostile texts as plain text.

import { describe, expect, test } from 'vitest';
import { renderSheetHtml } from '../../../src/sheet/html/sheet-html.ts';
import type { SheetInput, SheetView } from '../../../src/sheet/sheet-view.ts';
import type { Written } from '../procedure/written-product.ts';
import { all, markupComplaints, readPage, seenText, stepsInPage } from './html/markup-judge.ts';
import { frontComplaints, plainWords, resultComplaints, stepComplaints } from './printed-judge.ts';
import { pump, releaseOf, unitOf, viewOf, writtenPump } from './sheet-fixture.ts';

const render = (view: SheetView) => renderSheetHtml(view, { paper: undefined });
const resets = ['bus address', 'speed limit'];
const full: Written = {
  cautions: ['The lid is sharp'],
  bring: ['5 mm key'],
  patterns: [
    ...(writtenPump().patterns as Written[]),
    { id: 'idle', means: 'The pump stands ready', shows: { pump: { burst: 3, pause: '2s' } } },
    { id: 'said', means: 'It says so', shows: { display: 'E 41' } },
    { id: 'runs', means: 'It runs along', shows: { sweep: ['pump', 'halt'], step: '300ms' } },
  ],
};
const units = [unitOf('TRB12345674', { details: { access: 'Key at the dairy' } }), unitOf('TRC98765432')];
const mark = { laptop: 'k3v9q2', seq: 214, hash: '0123456789abcdef'.repeat(4) };

function complaints(
  html: string,
  product: Written,
  settings: readonly string[],
  version = '4.2.0',
): string[] {
  const { root } = readPage(html);
  const expected = { product, resets: settings, version };
  const words = plainWords(seenText(root));
  // The foot of the document names the sheet once more after the rows.
  return [
    ...markupComplaints(html),
    ...frontComplaints(words, expected),
    ...stepComplaints(stepsInPage(root), expected),
    ...resultComplaints(words, expected),
  ];
}

describe('what is on the page', () => {
  test.each<[string, Partial<SheetInput>]>([
    ['one unit', {}],
    ['no unit named', { units: [] }],
    ['two units', { units, mark }],
    ['the day ends', { dayEnds: 16 * 60 + 30 }],
    ['24 units', { units: Array.from({ length: 24 }, (_, i) => unitOf(`TRB1234${1000 + i}`)) }],
  ])('every caution, every step with all it says and where it leads, the rows: %s', (_, changes) => {
    expect(
      complaints(render(viewOf({ product: pump(full), ...changes })), writtenPump(full), resets),
    ).toEqual([]);
  });

  test('the judge sees what is missing', () => {
    const view = viewOf({ product: pump(full) });
    const broken: [SheetView, RegExp][] = [
      [{ ...view, steps: view.steps.filter(({ id }) => id !== 'feed') }, /does not say/],
      [{ ...view, cautions: { ...view.cautions, always: view.cautions.always.slice(1) } }, /no caution/],
      [{ ...view, patterns: view.patterns.slice(0, -1) }, /what runs is/],
      [{ ...view, units: [{ ...view.units[0]!, serial: 'TR4.2.0' }] }, /target version/],
    ];
    for (const [damaged, words] of broken) {
      expect(complaints(render(damaged), writtenPump(full), resets).join('\n')).toMatch(words);
    }
  });

  test('every way on is a link to its step', () => {
    const { root } = readPage(render(viewOf()));
    const links = all(root, ({ tag }) => tag === 'a').map((link) => [
      seenText(link),
      link.attributes.get('href'),
    ]);
    expect(links.length).toBeGreaterThan(15);
    for (const [text, href] of links) expect(`#step-${/step\s(\d+)/i.exec(text ?? '')?.[1]}`).toBe(href);
  });

  test('lights are drawn as lit where they are lit', () => {
    const { root } = readPage(render(viewOf({ product: pump(full) })));
    const drawings = all(root, ({ attributes }) => attributes.get('class') === 'strip');
    const of = (words: string) => {
      const found = drawings.find(({ attributes }) => attributes.get('aria-label')?.startsWith(words));
      return all(found!, ({ tag }) => tag === 'rect').map(({ attributes }) =>
        ['x', 'width', 'fill'].map((name) => attributes.get(name)),
      );
    };
    // 100 a minute over ten seconds: sixteen whole flashes of 0.3 s, and two thirds of another round.
    expect(of('HALT (yellow): flashes 100')).toHaveLength(17);
    expect(of('HALT (yellow): flashes 100')[1]).toEqual(['15.28', '7.14', '#f7dc2e']);
    expect(of('PUMP (green): on')).toEqual([['1', '238', '#3aa655']]);
    expect(of('DATA (white): off')).toEqual([]);
  });
});

describe('paper', () => {
  const style = (paper: 'a4' | 'letter' | undefined) => renderSheetHtml(viewOf({ mark }), { paper });

  test('A4, Letter, or what the printer holds', () => {
    expect(style('a4')).toContain('@page { size: A4 portrait; margin');
    expect(style('letter')).toContain('@page { size: letter portrait; margin');
    expect(style(undefined)).toContain('@page { margin');
  });

  test('the foot counts pages with the browser, and says the mark', () => {
    expect(style('a4')).toContain(
      'content: "Sheet K7MD\\2d 29XH   page " counter(page) " of " counter(pages) ""',
    );
    expect(style('a4')).toContain('Record\\3a  k3v9q2\\2d 214 01234');
  });

  test('the same view gives the same page', () => {
    expect(style('a4')).toBe(style('a4'));
  });
});

describe('hostile texts', () => {
  const evil = `"><script>alert(1)</script><img src=x onerror=alert(2)> &lt;b&gt; ' </style> --> \\3c \${x}`;
  const hostile: Written = {
    ...full,
    name: `Pump ${evil}`.slice(0, 80),
    maker: evil.slice(0, 60),
    cautions: [evil],
    bring: [evil],
    serves: [evil],
    helpline: { phone: '"><script>1</script>', hours: "'><b>" },
    source: { document: evil, issue: '<i>', page: '&' },
    writtenBy: '<b>lead</b>',
    checkedBy: "'second'",
    lights: [
      { id: 'pump', label: '<PUMP>', colour: 'green' },
      { id: 'data', label: '"DATA"', colour: 'white' },
      { id: 'halt', label: "HALT'&", colour: 'yellow' },
    ],
  };

  test('stand on the page as they were written, and nothing else happens', () => {
    const written = writtenPump({
      ...hostile,
      procedure: (writtenPump().procedure as Written[]).map((step) =>
        step.do === undefined ? step : { ...step, do: evil },
      ),
    });
    const html = render(
      viewOf({
        product: pump(written),
        release: releaseOf({ resets: [evil.slice(0, 60)], notes: evil }),
        units: [unitOf('<TR>&"1', { site: evil, details: { '<role>': evil } }), unitOf("TR'2")],
        made: { day: '2026-10-03', time: '18:05', by: evil },
      }),
    );
    expect(complaints(html, written, [evil.slice(0, 60)])).toEqual([]);
    expect(html.split(/<script|onerror=(?!alert\(2\)&gt;)|<img/).length).toBe(1);
  });

  test('the judge sees what is not escaped, not closed or fetched', () => {
    const html = render(viewOf());
    const planted: [string, RegExp][] = [
      [
        html.replace('<p class="strong">', '<p class="strong"><script>x</script>'),
        /tag that the page has no use for: script/,
      ],
      [html.replace('<p class="strong">', '<p class="strong" onclick="x">'), /runs something/],
      [html.replace('href="#step-', 'href="x#step-'), /leads away/],
      [html.replace('href="#step-', 'href="#step-9'), /not there/],
      [html.replace('</li>', ''), /closes/],
      [html.replace('CAUTIONS', 'A & B'), /not escaped/],
      [html.replace('CAUTIONS', 'A < B'), /a bare </],
      [html.replace(' lang="en"', ''), /no language/],
      [html.replace('scope="col"', 'class="x"'), /without scope/],
      [html.replace('role="img"', 'class="x"'), /without words/],
      [html.replace(/<h2/g, '<h3').replace(/<\/h2/g, '</h3'), /skips a level/],
      [html.replace('<style>', '<style>@import url(x);'), /fetches or ends/],
      [html.replace('<span class="heard">box to tick</span>', ''), /without words/],
      [html.replace('id="step-2"', 'id="step-1"'), /two elements/],
    ];
    for (const [damaged, words] of planted) {
      expect(damaged).not.toBe(html);
      expect(markupComplaints(damaged).join('\n')).toMatch(words);
    }
  });

  test('long texts are never cut', () => {
    const long = Array.from({ length: 60 }, (_, i) => `word${i}<`).join(' ');
    const written = writtenPump({ ...full, cautions: [long.slice(0, 300)] });
    expect(complaints(render(viewOf({ product: pump(written) })), written, resets)).toEqual([]);
  });
});
