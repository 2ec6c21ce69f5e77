// Every walk of a written product, broken off wherever it can be and rebuilt from what was kept: it goes on from where
// it was where everything is confirmed, and nowhere else.

import { expect } from 'vitest';
import { reduceWalk } from '../../../../src/procedure/walk/reduce-walk.ts';
import { resumeWalk } from '../../../../src/procedure/walk/resume-walk.ts';
import { namedPositions, type Walk, type WalkPlan } from '../../../../src/procedure/walk/walk.ts';
import { questionOf } from '../../../../src/procedure/walk/walk-question.ts';
import type { Written } from '../written-product.ts';
import { allWalks } from './all-walks.ts';
import { orderJudge } from './order-judge.ts';
import { planOf } from './walk-fixture.ts';

const pauseMs = 3600_000;

/** Through everything that is asked on resuming; `stands` answers for a position. */
function confirmAll(plan: WalkPlan, resumed: Walk, stands: (name: string) => string, reading = '0'): Walk {
  let walk = resumed;
  for (let turns = 0; walk.resuming && walk.phase.kind !== 'stopped' && turns < 300; turns += 1) {
    const { asked } = questionOf(plan, walk);
    const atMs = walk.atMs + 1000;
    if (asked.kind === 'caution') walk = reduceWalk(plan, walk, { kind: 'caution-read', atMs });
    else if (asked.kind === 'plate')
      walk = reduceWalk(plan, walk, { kind: 'plate', lastFour: plan.serial.slice(-4), revision: 'A', atMs });
    else if (asked.kind === 'position')
      walk = reduceWalk(plan, walk, { kind: 'position', state: stands(asked.name), atMs });
    else if (asked.kind === 'measure' && asked.stage === 'reading')
      walk = reduceWalk(plan, walk, { kind: 'reading', text: reading, atMs });
    else if (asked.kind === 'measure' && asked.stage === 'review')
      walk = reduceWalk(plan, walk, { kind: 'readings', taken: true, atMs });
    else if (asked.kind === 'measure') walk = reduceWalk(plan, walk, { kind: 'meter', good: true, atMs });
    else throw new Error(`asked on resuming: ${asked.kind}`);
  }
  return walk;
}

export function judgeResumes(written: Written, plan = planOf(written)): { judged: number; measured: number } {
  let judged = 0;
  let measured = 0;
  for (const { walk } of allWalks(plan, orderJudge(written))) {
    const { kind } = walk.phase;
    if (kind === 'ended' || kind === 'broken-off') continue;
    const resumed = resumeWalk(plan, walk.done, true, walk.atMs + pauseMs);
    if (!walk.begun) {
      expect(resumed).toMatchObject({ begun: false, resuming: false, phase: { kind: 'cautions', index: 0 } });
      continue;
    }
    judged += 1;
    expect(resumed).toMatchObject({ resuming: true, phase: { kind: 'cautions', index: 0 } });
    const named = namedPositions(plan, walk.at.positions);
    const on = confirmAll(plan, resumed, (name) => named[name]!);
    expect(on.at).toEqual(walk.at);
    expect([on.idle, on.mayHaveTaken, on.begun]).toEqual([walk.idle, walk.mayHaveTaken, true]);
    expect(on.result?.outcome).toBe(walk.result?.outcome);
    expect(on.notes).toEqual({ ...walk.notes, lights: on.notes.lights, notRestored: [] });
    const step = plan.product.procedure[walk.at.step]!;
    if (walk.result === null) {
      expect(on.phase.kind).toBe('step');
      // A wait begins anew; the time of a watch runs on, over the whole time that it was broken off.
      if (step.kind === 'wait') expect(on.arrivedMs).toBe(on.atMs);
      else expect(on.arrivedMs).toBe(walk.arrivedMs);
    }
    // Every measurement that still has to hold was made again; one that fails ends the walk.
    const again = on.done.filter(({ part, result }) => part === 'resume' && result === 'passes');
    if (again.length > 0) {
      measured += 1;
      const live = confirmAll(plan, resumed, (name) => named[name]!, '400');
      expect(live.phase).toMatchObject({ kind: 'stopped', why: 'not-dead' });
      expect(questionOf(plan, live).asked).toMatchObject({ stand: { order: null } });
    }
    expect(again.length + on.lapsed.length).toBe(walk.passed.length);
    judgeOtherPositions(plan, walk, resumed, named);
  }
  return { judged, measured };
}

/** Each position in each other state: goes on only where the step in hand puts it there. */
function judgeOtherPositions(plan: WalkPlan, walk: Walk, resumed: Walk, named: Record<string, string>): void {
  const step = walk.result === null ? plan.product.procedure[walk.at.step]! : undefined;
  for (const [name, { states }] of Object.entries(plan.product.positions)) {
    for (const state of states) {
      if (state === named[name]) continue;
      const inHand = step !== undefined && step.kind !== 'end' && step.sets[name] === state;
      const other = confirmAll(plan, resumed, (one) => (one === name ? state : named[one]!));
      if (inHand) {
        expect(other.phase.kind).toBe('step');
        expect(other.at).toEqual(walk.at);
        continue;
      }
      expect(other.phase).toMatchObject({ kind: 'stopped', why: 'positions-differ' });
      const { asked } = questionOf(plan, other);
      expect(asked).toMatchObject({ kind: 'stopped', stand: { order: null } });
      if (asked.kind !== 'stopped') continue;
      expect(asked.stand.positions.find((one) => one.name === name)?.state).toBe(state);
    }
  }
}
