// The fuzz of manifests at length: ten thousand harmed texts.

import { it } from 'vitest';
import { harmedText, requireHarmless } from '../support/manifest-fuzz.ts';

const rerun = 'FUZZ_SEED=N npx vitest run --project default tests/property/manifest-fuzz.test.ts';

it('ten thousand harmed manifests are read without harm', () => {
  for (let seed = 1000; seed < 11_000; seed++) {
    try {
      requireHarmless(harmedText(seed));
    } catch (error) {
      throw new Error(`seed ${seed}; run it again: ${rerun.replace('N', String(seed))}`, { cause: error });
    }
  }
});
