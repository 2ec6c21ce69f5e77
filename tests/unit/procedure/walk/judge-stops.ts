// Every stop of every walk of a written product, judged: what is said of positions and writing, and each order played
// through by a judge of its own.

import { expect } from 'vitest';
import { checkGaps } from '../../../../src/procedure/check-gaps.ts';
import { reduceWalk } from '../../../../src/procedure/walk/reduce-walk.ts';
import { standOf } from '../../../../src/procedure/walk/stand.ts';
import type { WalkPlan } from '../../../../src/procedure/walk/walk.ts';
import type { Written } from '../written-product.ts';
import { allWalks, type Visited } from './all-walks.ts';
import { type Judge, orderJudge } from './order-judge.ts';
import { soundProduct } from './sound-product.ts';
import { planOf } from './walk-fixture.ts';

export interface Tally {
  states: number;
  stops: number;
  orders: number;
  none: number;
}

function faultsOfStop(
  plan: WalkPlan,
  judge: Judge,
  written: Written,
  { walk, place }: Visited,
  tally: Tally,
): string[] {
  if (walk.phase.kind === 'ended' || walk.phase.kind === 'broken-off') return [];
  const stopped = reduceWalk(plan, walk, { kind: 'stop', atMs: walk.atMs + 1000 });
  const stand = standOf(plan, stopped);
  tally.stops += 1;
  if (place === null)
    return stand.order === null && stand.untouched ? [] : ['an order before anything was touched'];
  const lines: string[] = [];
  const positions = Object.fromEntries(stand.positions.map(({ name, state }) => [name, state]));
  if (JSON.stringify(positions) !== JSON.stringify(place.positions))
    lines.push(`positions: ${JSON.stringify(positions)}`);
  const writing = place.busy || judge.watchesWriting(place.step);
  if (writing && !stand.mayBeWriting) lines.push('it may be writing, and that is not said');
  if (stand.order === null) {
    tally.none += 1;
    return lines;
  }
  tally.orders += 1;
  lines.push(...judge.faults(place, stand.order));
  if (stand.mayBeWriting) {
    const whileBusy = (written.whileBusy ?? {}) as Record<string, string>;
    for (const { id } of stand.order) {
      const step = (written.procedure as { id: string; sets?: Record<string, string> }[]).find(
        (one) => one.id === id,
      );
      for (const [name, state] of Object.entries(step?.sets ?? {})) {
        if (whileBusy[name] !== undefined && whileBusy[name] !== state)
          lines.push(`${id} puts ${name} ${state} while it may be writing`);
      }
    }
  }
  return lines;
}

export function judgeStops(written: Written, tally: Tally, plan = planOf(written)): string[] {
  const judge = orderJudge(written);
  const visited = allWalks(plan, judge);
  tally.states += visited.length;
  return visited.flatMap((one) =>
    faultsOfStop(plan, judge, written, one, tally).map((line) => `${one.place?.step ?? 'before'}: ${line}`),
  );
}

export const noTally = (): Tally => ({ states: 0, stops: 0, orders: 0, none: 0 });

/** So many sound random procedures, from a seed on. */
export function soundProducts(first: number, count: number): { seed: number; written: Written }[] {
  const found: { seed: number; written: Written }[] = [];
  for (let seed = first; found.length < count && seed < first + count * 20; seed += 1) {
    const written = soundProduct(seed);
    const faults = checkGaps(planOf(written).product).findings.filter(({ severity }) => severity === 'stop');
    // Sound by the way they are made, but for the ends that chance left out.
    expect(
      faults.filter(({ code }) => code !== 'end-missing'),
      `seed ${seed}`,
    ).toEqual([]);
    if (faults.length === 0) found.push({ seed, written });
  }
  return found;
}
