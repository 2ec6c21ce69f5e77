// Every language says all that the English one says: leaf by leaf, with the same values in the same sentences, the same
// words for the record, and none of the words left in English. Then whole sheets: the same numbers in each, everything
// printed inside its paper, no letter that the press has not.

import { describe, expect, test } from 'vitest';
import { openPdfPress } from '../../../src/adapters/pdf/open-pdf-press.ts';
import { requireRelease } from '../../../src/manifest/catalogue.ts';
import { procedureTimes } from '../../../src/procedure/procedure-times.ts';
import { renderSheetHtml } from '../../../src/sheet/html/sheet-html.ts';
import { languages } from '../../../src/sheet/language.ts';
import { languageCodes } from '../../../src/sheet/language-codes.ts';
import { renderSheetPdf } from '../../../src/sheet/pdf/sheet-pdf.ts';
import { renderSheetText } from '../../../src/sheet/sheet-text.ts';
import { renderSlipText } from '../../../src/sheet/slip-text.ts';
import { demoCatalogue } from '../../support/demo-world.ts';
import { pdfInfo, pdfText } from '../../support/pdf-pages.ts';
import { readPage, seenText } from './html/markup-judge.ts';
import { unitOf, viewOf } from './sheet-fixture.ts';

type Leaf = string | ((...given: never[]) => unknown);
const others = ['de', 'fr'] as const;

/** By path; the spelling alphabet and the language's own name are the same or another by themselves. */
function leavesOf(value: unknown, path = ''): Map<string, Leaf> {
  if (typeof value === 'string' || typeof value === 'function') return new Map([[path, value as Leaf]]);
  return new Map(
    Object.entries(value as object).flatMap(([name, part]) => [
      ...leavesOf(part, path === '' ? name : `${path}.${name}`),
    ]),
  );
}

const english = leavesOf(languages.en);
const apart = (path: string) => /^(code|name|list|duration)$|\.spelling\./.test(path);

/** Values that a sentence may be given: the first set that makes a whole one of it is taken. */
const given: readonly (readonly unknown[])[] = [
  ['Q7', 'Q8', 'Q9'],
  [3, 4, 5],
  [[6, 7]],
  [['Q6', 'Q7'], 3],
  ['Q7', 4, 5],
  [4, 'Q7', 5],
  ['Q7', ['Q5']],
  [true],
];

function saying(speak: Leaf, args: readonly unknown[]): string | undefined {
  if (typeof speak === 'string') return speak;
  try {
    const said = (speak as (...all: readonly unknown[]) => unknown)(...args);
    return typeof said === 'string' && !/undefined|NaN|\[object|function/.test(said) ? said : undefined;
  } catch {
    return undefined;
  }
}

const fitting = (speak: Leaf) => given.find((args) => saying(speak, args) !== undefined);
const numbersIn = (text: string) => (text.match(/\d+/g) ?? []).sort();

/** Words that no sentence of these languages has and hardly an English one lacks. */
const englishWords = /\b(?:the|and|with|which|your|you|must|has|been|this|that|from|write|what)\b/i;
/** Words that people write down for the record stay as the record knows them. */
const recordWords =
  /\b(?:already-current|updated|failed|deferred|no-access|no-time|no-card|no-life|wrong-hardware|locked-off|unsafe|running|refused)\b/g;

describe.each(others)('%s', (code) => {
  const leaves = leavesOf(languages[code]);

  test('says all of it, and each in words of its own', () => {
    expect([...leaves.keys()].sort()).toEqual([...english.keys()].sort());
    const same = [...english].filter(
      ([path, text]) => !apart(path) && typeof text === 'string' && leaves.get(path) === text,
    );
    const allowed = {
      de: ['source.manifest', 'units.revision', 'source.release', 'walk.complaints'],
      fr: ['source.document', 'units.site', 'units.details.contact', 'slip.site'],
    }[code];
    expect(same.map(([path]) => path).filter((path) => !allowed.includes(path))).toEqual([]);
  });

  test('puts the same values into the same sentences', () => {
    for (const [path, speak] of english) {
      if (typeof speak === 'string' || apart(path)) continue;
      const args = fitting(speak);
      expect(args, path).toBeDefined();
      const [ours, theirs] = [leaves.get(path)!, speak].map((one) => saying(one, args!));
      expect(ours, path).toBeDefined();
      for (const value of ['Q5', 'Q6', 'Q7', 'Q8', 'Q9']) {
        expect(ours?.includes(value), `${path} without ${value}`).toBe(theirs?.includes(value));
      }
      expect(numbersIn(ours ?? ''), path).toEqual(numbersIn(theirs ?? ''));
      // Blanks to write into are as many, and as long.
      expect(ours?.match(/_+/g), path).toEqual(theirs?.match(/_+/g));
    }
  });

  test('keeps the words that go into the record', () => {
    for (const [path, speak] of english) {
      if (!/^(steps|time|results|failure|pocket\.steps)\./.test(path)) continue;
      const args = fitting(speak) ?? [];
      const words = new Set((saying(speak, args) ?? '').match(recordWords) ?? []);
      const isChoice = /^results\.(outcomes|leftChoices|reasons|causes)\./.test(path);
      if (!isChoice && !/"/.test(saying(speak, args) ?? '')) continue;
      for (const word of words) expect(saying(leaves.get(path)!, args), path).toContain(word);
    }
  });

  test('has no word left in English, nor of the other language', () => {
    const left = [...leaves].filter(([, speak]) =>
      englishWords.test(saying(speak, fitting(speak) ?? []) ?? ''),
    );
    expect(left.map(([path]) => path)).toEqual([]);
    // The judge sees English, wherever it stands.
    const blind = [...english].filter(([, speak]) => (saying(speak, fitting(speak) ?? [])?.length ?? 0) > 60);
    const unseen = blind.filter(([, speak]) => !englishWords.test(saying(speak, fitting(speak) ?? []) ?? ''));
    expect(unseen.length / blind.length).toBeLessThan(0.15);
  });
});

test('French never breaks a line before its high punctuation or within its quotation marks', () => {
  for (const [path, speak] of leavesOf(languages.fr)) {
    const said = saying(speak, fitting(speak) ?? []) ?? '';
    expect(/ [:;?!»]|« /.test(said), `${path}: ${said}`).toBe(false);
  }
});

test('numbers and times as each language writes them', () => {
  expect(languages.de.duration(0.4)).toBe('0,4\u00a0s');
  expect(languages.fr.duration(4800)).toBe('1\u00a0h\u00a020\u00a0min');
  expect(languages.de.steps.limits(-1.5, 50, 'V')).toContain('-1,5 und 50 V');
  expect(languages.fr.steps.limits(-1.5, 50, 'V')).toContain('-1,5 et 50 V');
  expect(languages.de.list(['a', 'b', 'c'], 'or')).toBe('a, b oder c');
  expect(languages.fr.list(['a', 'b'])).toBe('a et b');
  // French counts nought as one.
  expect(languages.fr.source.newsAsOf('D', 1)).toContain('1\u00a0jour ');
});

const catalogue = demoCatalogue();
const press = await openPdfPress();
const units = [unitOf('TB8120001238'), unitOf('TB8120000834', { hardware: 'A', site: 'Brook End' })];

describe.each(['hearth-90', 'weir-18', 'kerb-22'])('%s', (id) => {
  const product = catalogue.products.get(id)!;
  const release = requireRelease(catalogue, id);
  const view = (language: (typeof languageCodes)[number]) =>
    viewOf({ language, product, release, units, dayEnds: 17 * 60, times: procedureTimes(product) });

  /** Values are values: two numbers that differ between languages would be two procedures. */
  const numbersOnPage = (html: string) =>
    (seenText(readPage(html).root).match(/\d+/g) ?? []).filter((number) => number !== '2').sort();

  test('the same numbers on every sheet', () => {
    const [en, de, fr] = languageCodes.map((code) =>
      numbersOnPage(renderSheetHtml(view(code), { paper: 'a4' })),
    );
    expect(en!.length).toBeGreaterThan(100);
    expect(de).toEqual(en);
    expect(fr).toEqual(en);
  });

  test.each(others)('as text in %s: within its columns, at every width', (code) => {
    for (const width of [60, 78]) {
      for (const line of renderSheetText(view(code), { width }).split(/[\n\f]/)) {
        expect([...line].length, line).toBeLessThanOrEqual(width);
      }
    }
    expect(renderSlipText(view(code))).toContain(languages[code].slip.title);
  });

  test.each(others)('as PDF in %s: every letter, its language said, hardly longer', async (code) => {
    const pages = async (language: (typeof languageCodes)[number]) =>
      renderSheetPdf(view(language), press, { paper: 'a4', madeMs: 0 });
    const [ours, theirs] = [await pages(code), await pages('en')];
    const count = (bytes: Uint8Array) => Number(/^Pages: +(\d+)$/m.exec(pdfInfo(bytes))?.[1]);
    expect(count(ours)).toBeLessThanOrEqual(count(theirs) + 1);
    expect(Buffer.from(ours).toString('latin1')).toContain(`/Lang (${code})`);
    expect(pdfText(ours).join(' ')).toContain(languages[code].sections.cautions);
  });
});
