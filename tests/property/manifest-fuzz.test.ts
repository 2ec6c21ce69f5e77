// Harmed and hostile manifests never break the reader. The long tier goes on where this one stops.

import { describe, expect, it } from 'vitest';
import { buildCatalogue } from '../../src/manifest/build-catalogue.ts';
import { harmedText, hostileTexts, requireHarmless } from '../support/manifest-fuzz.ts';

const rerun = 'FUZZ_SEED=N npx vitest run --project default tests/property/manifest-fuzz.test.ts';
const only = process.env.FUZZ_SEED;
const seeds = only === undefined ? Array.from({ length: 300 }, (_, i) => i) : [Number(only)];

it('harmed manifests are read without harm', () => {
  for (const seed of seeds) {
    try {
      requireHarmless(harmedText(seed));
    } catch (error) {
      throw new Error(`seed ${seed}; run it again: ${rerun.replace('N', String(seed))}`, { cause: error });
    }
  }
});

describe('hostile texts are read without harm', () => {
  it.each(Object.entries(hostileTexts))('%s', (_, text) => requireHarmless(text));
});

it('the harm is real: most of the texts are refused', () => {
  const refused = Array.from({ length: 60 }, (_, i) => harmedText(i)).filter((text) =>
    buildCatalogue([{ path: 'F', content: text }]).findings.some(({ severity }) => severity === 'stop'),
  );
  expect(refused.length).toBeGreaterThan(40);
});
