// Five laptops that write, pack, take in, break off and begin again in any order all end with the same entries, and what
// these add up to is what a judge makes of every text that was written.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { histories, judgeCrew, type Played, playHistory } from '../support/exchange-history.ts';
import { checkSeeded } from '../support/seeded.ts';

const file = 'tests/property/exchange.test.ts';

test('all end with the same', { timeout: 60_000 }, async () => {
  let entries = 0;
  await checkSeeded(
    file,
    6,
    fc.asyncProperty(histories(60), async (history) => {
      const played = await playHistory(history);
      entries += played.written.length;
      judgeCrew(played);
    }),
  );
  expect(entries).toBeGreaterThan(50);
});

/** Each is done to one laptop's end of a history that went well. */
const plants: Readonly<Record<string, (played: Played) => Played>> = {
  'an entry is lost': (played) => withHeld(played, (held) => ({ ...held, texts: held.texts.slice(1) })),
  'an entry is there twice': (played) =>
    withHeld(played, (held) => ({ ...held, texts: [...held.texts, held.texts[0]!].sort() })),
  'one letter of an entry is another': (played) =>
    withHeld(played, (held) => ({
      ...held,
      texts: held.texts.map((text, i) => (i === 2 ? text.replace('claimedAt', 'claimedat') : text)),
    })),
  'a unit is another': (played) =>
    withHeld(played, (held) => {
      const [serial, unit] = [...held.units][0]!;
      return { ...held, units: new Map([...held.units, [serial, { ...(unit as object), site: 'Nowhere' }]]) };
    }),
  'a unit is missing': (played) =>
    withHeld(played, (held) => ({ ...held, units: new Map([...held.units].slice(1)) })),
  'something was written that nobody holds': (played) => ({
    ...played,
    written: [...played.written, played.written[0]!.replace('"seq":1', '"seq":99')],
  }),
};

function withHeld(played: Played, change: (held: Played['held'][number]) => Played['held'][number]): Played {
  return { ...played, held: played.held.map((held, i) => (i === 3 ? change(held) : held)) };
}

test('the judge sees what is planted', { timeout: 60_000 }, async () => {
  const [history] = fc.sample(
    histories(60).filter(({ steps }) =>
      steps.some(
        (step) =>
          step.kind === 'write' &&
          step.drafts.some(({ kind, body }) => kind === 'unit-added' && body.serial === 'A'),
      ),
    ),
    { numRuns: 1, seed: 1 },
  );
  const played = await playHistory(history!);
  expect(() => judgeCrew(played)).not.toThrow();
  for (const [name, plant] of Object.entries(plants)) expect(() => judgeCrew(plant(played)), name).toThrow();
});
