// Many random littered cards become ready.

import fc from 'fast-check';
import { it } from 'vitest';
import { randomCard } from '../support/random-card.ts';
import { prepareRandomCard } from '../support/random-prepare.ts';
import { checkSeeded } from '../support/seeded.ts';

it('random littered cards become ready, and stock tools agree', async () => {
  const property = fc.asyncProperty(randomCard, prepareRandomCard);
  await checkSeeded('tests/property/prepare-cards.long.test.ts', 500, property);
});
