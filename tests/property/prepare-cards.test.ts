// Random littered cards become ready; more of them in prepare-cards.long.test.ts.

import fc from 'fast-check';
import { it } from 'vitest';
import { randomCard } from '../support/random-card.ts';
import { prepareRandomCard } from '../support/random-prepare.ts';
import { checkSeeded } from '../support/seeded.ts';

it('random littered cards become ready, and stock tools agree', async () => {
  const property = fc.asyncProperty(randomCard, prepareRandomCard);
  await checkSeeded('tests/property/prepare-cards.test.ts', 25, property);
}, 120_000);
