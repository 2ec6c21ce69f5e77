// Every state that a walk of a product can come to, by every answer that makes a difference, each with the place
// where the judge has it: every prefix of every walk, since what a walk knows of the past lies in its state.

import { reduceWalk } from '../../../../src/procedure/walk/reduce-walk.ts';
import type { Walk, WalkPlan } from '../../../../src/procedure/walk/walk.ts';
import type { WalkEvent } from '../../../../src/procedure/walk/walk-event.ts';
import { questionOf } from '../../../../src/procedure/walk/walk-question.ts';
import type { Judge, Place } from './order-judge.ts';
import { fresh, readyCard } from './walk-fixture.ts';

export interface Visited {
  readonly walk: Walk;
  /** Where the judge has it; null before the procedure. */
  readonly place: Place | null;
}

const step = 1000;

/** Every answer to the question that stands, at a time that suits it. */
export function answers(plan: WalkPlan, walk: Walk): WalkEvent[] {
  const { asked } = questionOf(plan, walk);
  const atMs = walk.atMs + step;
  switch (asked.kind) {
    case 'caution':
      return [{ kind: 'caution-read', atMs }];
    case 'card':
      return [{ kind: 'card', standing: readyCard, atMs }];
    case 'plate':
      return [{ kind: 'plate', lastFour: plan.serial.slice(-4), revision: 'A', atMs }];
    case 'version-before':
      return [{ kind: 'version-before', version: '4.0.0', atMs }];
    case 'lead':
      return [{ kind: 'lead-says', goOn: true, name: 'O. Fen', atMs }];
    case 'settings':
      return [{ kind: 'settings', values: asked.settings.map(() => '7'), atMs }];
    case 'starts':
      return [{ kind: 'starts', asSaid: true, atMs }];
    case 'do':
    case 'hold':
      return [{ kind: 'done', atMs }];
    case 'plate-time':
      return [{ kind: 'plate-time', minutes: null, atMs }];
    case 'wait':
      return [{ kind: 'done', atMs: Math.max(atMs, asked.overMs) }];
    case 'measure':
      if (asked.stage === 'reading')
        return ['0.4', '400'].map((text) => ({ kind: 'reading', text, atMs }) as const);
      if (asked.stage === 'review') return [{ kind: 'readings', taken: true, atMs }];
      return [{ kind: 'meter', good: true, atMs }];
    case 'watch':
      return [
        ...asked.patterns.map(({ pattern }) => ({ kind: 'lights', pattern: pattern.id, atMs }) as const),
        { kind: 'unlisted', atMs },
        { kind: 'time-up', atMs: Math.max(atMs, asked.overMs) },
      ];
    case 'read':
      return [
        { kind: 'version', version: plan.release.version, atMs },
        { kind: 'version', version: '3.9.0', atMs },
        { kind: 'unreadable', atMs },
      ];
    case 'sign':
      return [true, false].map((seen) => ({ kind: 'sign', seen, atMs }) as const);
    case 'restore':
      return [{ kind: 'restored', restored: true, atMs }];
    case 'left':
      return [{ kind: 'left', left: 'running', atMs }];
    case 'cause':
      return [{ kind: 'cause', cause: 'unit', atMs }];
    case 'reason':
      return [{ kind: 'reason', reason: 'other', atMs }];
    case 'case':
      return [{ kind: 'case', number: null, atMs }];
    case 'told':
      return [{ kind: 'told', name: null, atMs }];
    case 'position':
      return asked.states.map((state) => ({ kind: 'position', state, atMs }) as const);
    case 'stopped':
    case 'nothing':
      return [];
  }
}

/** The judge follows what was done, by its own rules. */
function followed(judge: Judge, place: Place | null, before: Walk, after: Walk): Place | null {
  let at = place ?? (after.begun ? judge.begin() : null);
  for (const item of after.done.slice(before.done.length)) {
    if (item.part !== 'procedure' || at === null) continue;
    const way = judge
      .ways(at)
      .find(({ way: { reason, pattern } }) => reason === item.result && pattern === item.pattern);
    if (way === undefined || at.step !== item.step)
      throw new Error(`the judge knows no ${item.step} ${item.result}`);
    at = way.place;
  }
  return at;
}

export function allWalks(plan: WalkPlan, judge: Judge, limit = 20_000): Visited[] {
  const begin: Visited = { walk: fresh(plan), place: null };
  const seen = new Set<string>();
  const found: Visited[] = [];
  const queue = [begin];
  for (let next = queue.pop(); next !== undefined; next = queue.pop()) {
    const { walk, place } = next;
    const {
      atMs: _at,
      arrivedMs: _arrived,
      done: _done,
      complaint: _complaint,
      notes: _notes,
      ...rest
    } = walk;
    const key = JSON.stringify(rest);
    if (seen.has(key)) continue;
    seen.add(key);
    if (found.length >= limit) throw new Error(`more than ${limit} states`);
    found.push(next);
    for (const event of answers(plan, walk)) {
      const after = reduceWalk(plan, walk, event);
      queue.push({ walk: after, place: followed(judge, place, walk, after) });
    }
  }
  return found;
}
