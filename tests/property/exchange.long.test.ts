// Five laptops at length: longer histories, and more of them.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { histories, judgeCrew, playHistory } from '../support/exchange-history.ts';
import { checkSeeded } from '../support/seeded.ts';

const file = 'tests/property/exchange.long.test.ts';

test('all end with the same, at length', async () => {
  let entries = 0;
  await checkSeeded(
    file,
    40,
    fc.asyncProperty(histories(160), async (history) => {
      const played = await playHistory(history);
      entries += played.written.length;
      judgeCrew(played);
    }),
  );
  expect(entries).toBeGreaterThan(2000);
});
