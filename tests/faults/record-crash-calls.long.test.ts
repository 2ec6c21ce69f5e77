import { expect, test } from 'vitest';
import { writingCalls } from '../support/killed-writer.ts';
import { killAtEachCall } from './record-crash-calls.ts';

test('a writer ended at every call by which it makes a record and writes into it', async () => {
  const { killed } = await killAtEachCall({ calls: writingCalls, pairs: 2, fromNothing: true, step: 1 });
  console.log(`${killed} runs ended`);
  expect(killed).toBeGreaterThan(120);
});

test('a writer ended at every call on one record that grows to hundreds of entries', async () => {
  const { killed, entries } = await killAtEachCall({
    calls: writingCalls,
    pairs: 4,
    fromNothing: false,
    step: 1,
  });
  console.log(`${killed} runs ended, ${entries} entries`);
  expect(killed).toBeGreaterThan(60);
  expect(entries).toBeGreaterThan(200);
});
