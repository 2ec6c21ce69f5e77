// Harmed signatures, keys and lists of signers, a few of each.

import { test } from 'vitest';
import { checkSeeded } from '../support/seeded.ts';
import { sshFuzz, sshWorld } from '../support/ssh-fuzz.ts';

test('what is harmed is refused in words, or understood as what it is', async () => {
  await checkSeeded('tests/property/ssh-fuzz.test.ts', 1000, sshFuzz(sshWorld()));
});
