// Sheets of random procedures, judged from the manifest as written and the paper alone: every step once, every
// branch to the number of its step, nothing too wide, pages whole, no target version with the rows.

import { expect, test } from 'vitest';
import { productSchema } from '../../src/manifest/schema.ts';
import { renderSheetText } from '../../src/sheet/sheet-text.ts';
import { plantedCorpus, soundCorpus } from '../unit/procedure/gap-corpus.ts';
import { randomFrom, randomProduct } from '../unit/procedure/random-product.ts';
import type { Written, WrittenStep } from '../unit/procedure/written-product.ts';
import { releaseOf, unitOf, viewOf } from '../unit/sheet/sheet-fixture.ts';
import { complaints } from '../unit/sheet/sheet-judge.ts';

const first = Number(process.env.SHEET_SEED ?? 1);
const count = Number(process.env.SHEET_COUNT ?? (process.env.SHEET_SEED === undefined ? 400 : 1));
const noTimes = {
  bounded: false,
  ends: [],
  shortest: undefined,
  longest: undefined,
  assumed: [],
  plateMayBeLonger: [],
};

const words =
  'Lift the flap, see it move and hold it open until the second person says so in a clear voice'.split(' ');

/** Instructions of random length, each unlike every other. */
function reworded(product: Written, random: () => number): Written {
  const procedure = (product.procedure as WrittenStep[]).map((step, index) => {
    if (step.do === undefined) return step;
    const length = 1 + Math.floor(random() * 60);
    const text = Array.from({ length }, () => words[Math.floor(random() * words.length)]).join(' ');
    return { ...step, do: `Do ${index}: ${text}`.slice(0, 490) };
  });
  return { ...product, procedure };
}

function judge(product: Written, seed: number, random: () => number): void {
  const settings = ['bus address', 'speed limit'].slice(0, Math.floor(random() * 3));
  const units = Array.from({ length: Math.floor(random() * 5) }, (_, i) => unitOf(`TR0000000${i}`));
  const width = random() < 0.3 ? 60 : 78;
  const pageLines = random() < 0.2 ? 66 : 58;
  const view = viewOf({
    product: productSchema.parse(product),
    release: releaseOf({ resets: settings, hardware: ['A'], version: '7.31.4', from: undefined }),
    units,
    times: noTimes,
  });
  const text = renderSheetText(view, { width, pageLines });
  const told = complaints(text, { product, resets: settings.length, version: '7.31.4', width, pageLines });
  const again = `SHEET_SEED=${seed} npx vitest run --project default tests/property/sheet.test.ts`;
  expect(told, `seed ${seed}; again: ${again}`).toEqual([]);
}

test(`${count} random procedures from seed ${first}`, () => {
  for (let seed = first; seed < first + count; seed++) {
    const random = randomFrom(seed + 1_000_000);
    judge(reworded(randomProduct(seed), random), seed, random);
  }
});

test('every procedure of the corpus, sound or with a fault', () => {
  const all = [...soundCorpus, ...plantedCorpus];
  expect(all.length).toBeGreaterThan(100);
  all.forEach(({ product }, index) => {
    const random = randomFrom(index);
    judge(product, first, random);
  });
});
