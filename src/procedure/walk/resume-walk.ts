// A walk rebuilt from what was kept of it. Each step is moved along the graph again, and what comes out must
// agree with what was kept; where it does not (the manifest has changed, or the entries are not of this
// procedure), there is no going on, only a stop with the positions as they were last known.

import type { ExitReason } from '../step-graph.ts';
import { movesFrom, type WalkState } from '../successors.ts';
import { beginWalk } from './begin-walk.ts';
import { arrive, leaveStep, resultOf } from './move-walk.ts';
import { type DoneStep, namedPositions, type Walk, type WalkNotes, type WalkPlan } from './walk.ts';

/** `done`: what was kept, in order. `sameManifest`: the procedure is, to the letter, the one that was begun. */
export function resumeWalk(
  plan: WalkPlan,
  done: readonly DoneStep[],
  sameManifest: boolean,
  nowMs: number,
): Walk {
  const fresh = beginWalk(plan, nowMs);
  const starts = done.findLastIndex(
    ({ part, step, result }) => part === 'before' && step === 'starts' && result === 'as-said',
  );
  // Broken off before anything was touched: the frame is walked from its beginning.
  if (starts < 0) return fresh;
  const notes = notesFrom(plan, fresh.notes, done);
  const rebuilt = sameManifest ? replay(plan, { ...fresh, notes }, done.slice(starts)) : undefined;
  if (rebuilt === undefined) return lost(plan, { ...fresh, notes }, done);
  return {
    ...rebuilt,
    phase: { kind: 'cautions', index: 0 },
    resuming: true,
    done: [],
    atMs: Math.max(nowMs, rebuilt.atMs),
  };
}

function replay(plan: WalkPlan, fresh: Walk, done: readonly DoneStep[]): Walk | undefined {
  const first = done[0]!;
  let walk = arrive(plan, { ...fresh, begun: true, atMs: first.atMs, arrivedMs: first.atMs });
  for (const item of done) {
    if (item.part === 'after' && item.step === 'end-here') {
      walk = { ...walk, result: resultOf(item.result === 'deferred' ? 'deferred' : 'failed', 'stop') };
    }
    if (
      item.part === 'after' &&
      item.step === 'service' &&
      item.result === 'not-seen' &&
      walk.result !== null
    ) {
      walk = { ...walk, result: { ...walk.result, outcome: 'failed', by: 'service' } };
    }
    if (item.part !== 'procedure') continue;
    const moved = followed(plan, walk, item);
    if (moved === undefined) return undefined;
    walk = moved;
  }
  return walk;
}

function followed(plan: WalkPlan, walk: Walk, item: DoneStep): Walk | undefined {
  // Steps that were passed over are passed over again by themselves.
  if (item.result === 'no-tries-left') return walk;
  const step = plan.successors.graph.steps[walk.at.step];
  const exits = movesFrom(plan.successors, walk.at).map(({ exit }) => exit);
  const exit = exits.find(({ reason, pattern }) => reason === item.result && pattern === item.pattern);
  if (step?.id !== item.step || exit === undefined) return undefined;
  const moved = leaveStep(plan, { ...walk, atMs: item.atMs }, item.result as ExitReason, {}, item.pattern);
  const positions = namedPositions(plan, moved.at.positions);
  const agrees = Object.entries(positions).every(([name, state]) => item.positions[name] === state);
  return agrees && Object.keys(item.positions).length === Object.keys(positions).length ? moved : undefined;
}

function lost(plan: WalkPlan, fresh: Walk, done: readonly DoneStep[]): Walk {
  const known = done.findLast(({ positions }) => Object.keys(positions).length > 0)?.positions ?? {};
  const begin: WalkState = plan.successors.begin();
  const positions = plan.successors.graph.axes.map(({ name, states, starts }) => {
    const state = states.indexOf(known[name] ?? '');
    return state < 0 ? starts : state;
  });
  // Whether it was writing is not known either: count with it.
  const at: WalkState = { ...begin, positions, busy: true, seen: true };
  return {
    ...fresh,
    begun: true,
    resuming: true,
    at,
    phase: { kind: 'stopped', why: 'manifest-changed', from: null, seen: positions },
  };
}

function notesFrom(plan: WalkPlan, notes: WalkNotes, done: readonly DoneStep[]): WalkNotes {
  const text = (item: DoneStep | undefined, name: string): string | null => {
    const value = item?.facts[name];
    return typeof value === 'string' ? value : null;
  };
  const last = (step: string) => done.findLast((item) => item.part === 'before' && item.step === step);
  const values = last('settings')?.facts.values;
  const ids = new Set(plan.product.patterns.map(({ id }) => id));
  const pattern = done.findLast((item) => item.pattern !== undefined && ids.has(item.pattern))?.pattern;
  return {
    ...notes,
    card: text(last('card'), 'card'),
    revision: text(last('plate'), 'revision'),
    versionBefore: text(last('version-before'), 'version'),
    settings: Array.isArray(values) ? values.map(String) : [],
    versionRead: text(
      done.findLast(({ result }) => result === 'release-version' || result === 'other-version'),
      'version',
    ),
    lights: pattern ?? null,
  };
}
