// The slip for the customer in its three forms: how everything was left, what not to switch on, whom to ring; one
// for each site; no order of switching and no version anywhere.

import { beforeAll, describe, expect, test } from 'vitest';
import { openPdfPress } from '../../../src/adapters/pdf/open-pdf-press.ts';
import type { PdfPress } from '../../../src/ports/pdf-press.ts';
import { renderSlipHtml } from '../../../src/sheet/html/slip-html.ts';
import { renderSlipPdf } from '../../../src/sheet/pdf/slip-pdf.ts';
import type { SheetView } from '../../../src/sheet/sheet-view.ts';
import { renderSlipText } from '../../../src/sheet/slip-text.ts';
import { pdfInfo, pdfText } from '../../support/pdf-pages.ts';
import { markupComplaints, readPage, seenText } from './html/markup-judge.ts';
import { plainWords } from './printed-judge.ts';
import { pump, unitOf, viewOf } from './sheet-fixture.ts';

let press: PdfPress;
beforeAll(async () => {
  press = await openPdfPress();
});

const pdf = (view: SheetView) => renderSlipPdf(view, press, { paper: 'a4', madeMs: 0 });

/** The words of each form, without boxes and lines to write on. */
async function forms(view: SheetView): Promise<[string, string][]> {
  const bare = (text: string) => plainWords(text.replaceAll('[ ]', ' '));
  return [
    ['text', bare(renderSlipText(view))],
    ['html', bare(seenText(readPage(renderSlipHtml(view, { paper: 'a4' })).root))],
    ['pdf', bare(pdfText(await pdf(view)).join(' '))],
  ];
}

const product = pump({ hazards: ['stored-charge', 'automatic-restart', 'backfeed'] });

describe('every form of the slip', () => {
  test('says how each thing may stand, what not to switch on, and whom to ring', async () => {
    const view = viewOf({ product });
    for (const [form, words] of await forms(view)) {
      for (const expected of [
        'FOR THE CUSTOMER',
        'Slip to sheet K7MD-29XH',
        'Rill 40 pump drive, maker Tarnholt',
        'Low Meadow',
        'TRB12345674',
        'DO NOT SWITCH ON, OPEN OR UNPLUG:',
        'until this person says so:',
        'The unit may still be writing.',
        'It may start by itself at any moment.',
        'With the mains off, voltage may still come from another source.',
        'Never at the same time: ',
        'card in and array connected. The pump could start on half-written firmware',
        "local codes and the maker's manual, which win over this slip",
        'ring the emergency service. Ring it first.',
        'Ring before you switch anything on or off',
        'Emergency service',
        'Service firm, at any hour',
        '+00 555 0134 (07-19 UTC)',
        'Told to (name)',
      ]) {
        expect(words, `${form}: ${expected}`).toContain(expected);
      }
      for (const [name, states] of Object.entries({
        array: ['connected', 'isolated'],
        supply: ['off', 'on'],
        flap: ['shut', 'open'],
        card: ['out', 'in'],
      })) {
        expect(words, form).toMatch(new RegExp(`${name}:? ${states.join(' ')}`));
      }
      for (const choices of [
        'running off off and locked without life',
        'is in did not go in was not begun',
      ]) {
        expect(words, form).toContain(choices);
      }
    }
  });

  test('says nothing of the version, of steps or of an order to switch in', async () => {
    for (const [form, words] of await forms(viewOf({ product }))) {
      expect(words, form).not.toMatch(/4\.2\.0|\bstep\b|isolator|then\b/i);
    }
  });

  test('asks for the helpline where the manifest has none, and has no word on writing where nothing writes', async () => {
    const quiet = pump({
      helpline: undefined,
      never: [],
      patterns: [{ id: 'idle', means: 'Stands ready', shows: { pump: 'on' } }],
      procedure: [{ id: 'done', end: 'deferred' }],
    });
    for (const [form, words] of await forms(viewOf({ product: quiet }))) {
      expect(words, form).toContain("Maker's helpline");
      expect(words, form).not.toMatch(/may still be writing|Never at the same time/);
    }
  });

  test('is one for each site, with every unit that stands there', async () => {
    const units = [
      unitOf('TRB00000001', { site: 'Low Meadow' }),
      unitOf('TRB00000002', { site: 'Brook End' }),
      unitOf('TRB00000003', { site: 'Low Meadow' }),
    ];
    const view = viewOf({ product, units });
    for (const [form, words] of await forms(view)) {
      const slips = words.split('FOR THE CUSTOMER').slice(1);
      expect(slips, form).toHaveLength(2);
      expect(slips[0], form).toMatch(/Low Meadow.*Unit 1.*TRB00000001.*Unit 3.*TRB00000003/);
      expect(slips[0], form).not.toContain('TRB00000002');
      expect(slips[1], form).toMatch(/Brook End.*Unit 2.*TRB00000002/);
    }
    const pages = pdfText(await pdf(view));
    expect(pages.findIndex((page) => page.includes('Brook End'))).toBeGreaterThan(
      pages.findLastIndex((page) => page.includes('Low Meadow')),
    );
  });

  test('is one page for one unit, and left blank where no unit was named', async () => {
    for (const view of [viewOf({ product }), viewOf({ product, units: [] })]) {
      expect(pdfInfo(await pdf(view))).toMatch(/^Pages: +1$/m);
      expect(renderSlipText(view).split('\f')).toHaveLength(1);
    }
    for (const [form, words] of await forms(viewOf({ product, units: [] }))) {
      expect(words, form).toMatch(/Site .*Serial /);
    }
  });

  test('is sound markup, hostile texts and all', () => {
    const evil = '"><script>alert(1)</script>&<b>';
    const view = viewOf({
      product: pump({ name: evil, maker: evil, helpline: { phone: evil } }),
      units: [unitOf(evil, { site: evil }), unitOf('TR2', { site: `${evil}2` })],
    });
    const html = renderSlipHtml(view, { paper: undefined });
    expect(markupComplaints(html)).toEqual([]);
    expect(seenText(readPage(html).root)).toContain(`Site: ${evil}2`);
  });

  test('fits the page in text: lines and pages of one size', () => {
    const pages = renderSlipText(viewOf({ product })).split('\f');
    for (const page of pages) {
      const lines = page.replace(/\n$/, '').split('\n');
      expect(lines).toHaveLength(58);
      expect(lines.filter((line) => line.length > 78)).toEqual([]);
      expect(lines.at(-1)).toMatch(/^Slip to sheet K7MD-29XH {3}page 1 of 1$/);
    }
  });
});
