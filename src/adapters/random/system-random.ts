// Randomness from the operating system.

import { randomBytes } from 'node:crypto';
import type { Random } from '../../ports/random.ts';

export const systemRandom: Random = {
  bytes: (count) => new Uint8Array(randomBytes(count)),
};
