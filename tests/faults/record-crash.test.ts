import { test } from 'vitest';
import { killAgainAndAgain } from './record-crash-rounds.ts';

test('a writer killed four times loses nothing that it said was written', async () => {
  await killAgainAndAgain(4);
});
