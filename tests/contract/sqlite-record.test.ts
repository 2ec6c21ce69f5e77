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

test('broken off between two pieces nothing of it is stored, and the same again goes on', async () => {
  const place = sqlitePlace();
  try {
    const store = place.open();
    const [x, y] = [chainOf('xx'), chainOf('yy')];
    for (let i = 0; i < 1300; i++)
      for (const chain of [x, y]) chain.add('note', { serial: `S${i % 1100}`, text: `${i}` }, newYear);
    const mixed = x.stored.flatMap((entry, at) => [entry, ...y.stored.slice(at, at + 1)]);
    let isClosed = false;
    function* source() {
      try {
        yield* mixed;
      } finally {
        isClosed = true;
      }
    }
    const stopAt = (last: number) => {
      let pauses = 0;
      return async () => {
        pauses += 1;
        if (pauses === last) throw new Error('stopped');
      };
    };
    for (const last of [1, 2, 3]) {
      isClosed = false;
      await expect(store.takeIn(source(), stopAt(last))).rejects.toThrow('stopped');
      expect(isClosed).toBe(last > 1);
      expect(await store.counts()).toMatchObject({ entries: 0, units: 0, laptops: 0 });
    }
    expect(await store.takeIn(source(), stopAt(-1))).toMatchObject({ added: 2600, known: 0, refused: [] });
    expect(await store.takeIn(mixed, stopAt(-1))).toMatchObject({ added: 0, known: 2600, refused: [] });
    await expect(store.check([], undefined, stopAt(3))).rejects.toThrow('stopped');
    expect(await store.check([], undefined, stopAt(-1))).toMatchObject({ entries: 2600, findings: [] });
    for (const last of [1, 2, 3]) {
      await expect(store.rebuild(stopAt(last))).rejects.toThrow('stopped');
      expect((await store.check()).findings).toEqual([]);
    }
    expect((await store.rebuild(stopAt(-1))).differed).toEqual([]);
  } finally {
    place.remove();
  }
});
