// A card is unmounted and then made sure of: a system that is still at it is asked again, a card that stays another one is
// refused.

import { expect, it, vi } from 'vitest';
import type { GuardedDrive } from '../../../src/commands/card-place.ts';
import type { Context } from '../../../src/commands/context.ts';
import { unmountFirst } from '../../../src/commands/mounted-drive.ts';
import { Failure } from '../../../src/words/failure.ts';

vi.mock('node:timers/promises', () => ({ setTimeout: async () => {} }));

const failure = (code: string) => new Failure({ code, exit: 5, summary: 'No.', next: 'Wait.' });

/** `said`: what is answered each time it is made sure of; the last for good. */
function bench(said: readonly (string | undefined)[], mounted = ['/media/q/CARD']) {
  const done: string[] = [];
  let asked = 0;
  const drive = {
    chosen: { drive: { parts: [{ mountPoints: mounted }] } },
    async requireSame() {
      const code = said[Math.min(asked++, said.length - 1)];
      if (code !== undefined) throw failure(code);
    },
  } as unknown as GuardedDrive;
  const context = {
    cards: { isWriteProtected: () => false, openToWrite: () => ({ close: () => done.push('opened') }) },
    drives: async () => ({ unmount: async () => void done.push('unmounted') }),
    terminal: { notice: () => {} },
  } as unknown as Context;
  return { done, asked: () => asked, run: () => unmountFirst(context, { path: '/dev/sdq', drive }) };
}

it('asks again while the system settles', async () => {
  const { done, asked, run } = bench(['card-changed', 'card-busy', undefined]);
  await run();
  expect({ done, asked: asked() }).toEqual({ done: ['unmounted', 'opened'], asked: 3 });
});

it('refuses a card that stays another one', async () => {
  const { asked, run } = bench(['card-changed']);
  await expect(run()).rejects.toMatchObject({ facts: { code: 'card-changed', exit: 5 } });
  expect(asked()).toBe(6);
});

it('refuses at once what no waiting changes, and a card that was not mounted', async () => {
  const system = bench(['system-disk']);
  await expect(system.run()).rejects.toMatchObject({ facts: { code: 'system-disk' } });
  const unmounted = bench(['card-changed'], []);
  await expect(unmounted.run()).rejects.toMatchObject({ facts: { code: 'card-changed' } });
  expect([system.asked(), unmounted.asked()]).toEqual([1, 1]);
});
