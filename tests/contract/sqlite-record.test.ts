import { expect, test } from 'vitest';
import { recordRules } from '../../src/record/record-rules.ts';
import { chainOf, newYear } from '../support/entries.ts';
import { sqlitePlace } from '../support/sqlite-place.ts';
import { recordStoreSuite } from './record-store-suite.ts';

recordStoreSuite('SQLite', sqlitePlace);

test('what is at hand and throws on its way has stored nothing, and can be handed in again', async () => {
  const place = sqlitePlace();
  try {
    const store = place.open();
    const chain = chainOf('xx');
    for (let i = 0; i < 500; i++) chain.add('note', { serial: `S${i % 7}`, text: `${i}` }, newYear);
    const proved = chain.stored.map((sealed) => recordRules.receive(sealed));
    function* breaking(at: number) {
      for (const [index, entry] of proved.entries()) {
        if (index === at) throw new Error('broken off');
        if ('stored' in entry) yield entry;
      }
    }
    for (const at of [0, 1, 250, 499]) {
      await expect(store.takeIn(breaking(at))).rejects.toThrow('broken off');
      expect(await store.counts()).toMatchObject({ entries: 0 });
      expect(await store.marks()).toEqual([]);
    }
    expect(await store.takeIn(breaking(-1))).toMatchObject({ added: 500 });
    expect(await store.takeIn(breaking(-1))).toMatchObject({ added: 0, known: 500 });
    expect((await store.check()).findings).toEqual([]);
  } finally {
    place.remove();
  }
});
