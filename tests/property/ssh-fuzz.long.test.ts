// Harmed signatures, keys and lists of signers, at length.

import { test } from 'vitest';
import { checkSeeded } from '../support/seeded.ts';
import { sshFuzz, sshWorld } from '../support/ssh-fuzz.ts';

test('what is harmed is refused in words, or understood as what it is', { timeout: 120_000 }, async () => {
  await checkSeeded('tests/property/ssh-fuzz.long.test.ts', 200_000, sshFuzz(sshWorld()));
});
