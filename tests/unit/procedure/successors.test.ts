// Packed states against the same moves made with plain lists: every field keeps to itself, however many there
// are and wherever a word ends.

import { describe, expect, test } from 'vitest';
import { productSchema } from '../../../src/manifest/schema.ts';
import { stepGraphOf } from '../../../src/procedure/step-graph.ts';
import { movesFrom, successorsOf, type WalkState } from '../../../src/procedure/successors.ts';
import { randomFrom, randomProduct } from './random-product.ts';
import { productOf, pumpSteps, steps, type WrittenStep } from './written-product.ts';

/** As many positions, states and counted steps as asked for, every step a different change of them. */
function wide(positions: number, states: number, counted: number, seed: number) {
  const random = randomFrom(seed);
  const below = (limit: number): number => Math.floor(random() * limit);
  const names = Array.from({ length: positions }, (_, i) => `p${i}`);
  const values = Array.from({ length: states }, (_, i) => `s${i}`);
  const onward = 'then';
  const procedure: WrittenStep[] = Array.from({ length: counted + 5 }, (_, i) => ({
    id: `step-${i}`,
    do: 'Do it',
    sets: Object.fromEntries(names.filter(() => random() < 0.3).map((name) => [name, values[below(states)]])),
    ...(i < counted && {
      tries: 1 + below(20),
      otherwise: `step-${below(counted + 5)}`,
      [onward]: `step-${below(counted + 5)}`,
    }),
  }));
  procedure.push({
    id: 'look',
    watch: { loading: 'done', taken: 'done' },
    within: '1min',
    late: 'done',
    unlisted: 'done',
  });
  procedure.push({ id: 'done', end: 'updated' });
  return productOf({
    positions: Object.fromEntries(
      names.map((name) => [name, { states: values, starts: values[below(states)], ends: values[0] }]),
    ),
    never: [],
    whileBusy: {},
    procedure,
  });
}

const layouts: readonly [number, number, number][] = [
  [1, 2, 0],
  [4, 2, 1],
  [8, 2, 3],
  [8, 3, 4],
  [11, 2, 0],
  [12, 4, 6],
  [24, 8, 20],
  [24, 2, 40],
  [3, 5, 9],
];

describe.each(layouts)('%i positions of %i states, %i counted steps', (positions, states, counted) => {
  const product = wide(positions, states, counted, positions * 100 + counted);
  const graph = stepGraphOf(product);
  const successors = successorsOf(graph);
  const random = randomFrom(7);
  const below = (limit: number): number => Math.floor(random() * limit);
  const randomState = (): WalkState => ({
    step: below(graph.steps.length + 1),
    positions: graph.axes.map((axis) => below(axis.states.length)),
    triesUsed: graph.counted.map((index) => below((graph.steps[index]?.tries ?? 0) + 1)),
    busy: below(2) === 1,
    seen: below(2) === 1,
  });

  test('unpacked is what was packed', () => {
    for (let i = 0; i < 300; i += 1) {
      const state = randomState();
      const words = new Int32Array(successors.stride + 2).fill(-1);
      successors.pack(state, words, 1);
      expect(successors.unpack(words, 1)).toEqual(state);
      expect([words[0], words[successors.stride + 1]]).toEqual([-1, -1]);
    }
  });

  test('a move changes what the step says and nothing else', () => {
    for (let i = 0; i < 300; i += 1) {
      const state = randomState();
      const step = graph.steps[state.step];
      const moves = movesFrom(successors, state);
      if (step === undefined || step.end !== undefined) {
        expect(moves).toEqual([]);
        continue;
      }
      const nth = graph.counted.indexOf(step.index);
      if (step.tries !== undefined && state.triesUsed[nth] === step.tries) {
        expect(moves.map((move) => move.state)).toEqual([{ ...state, step: step.whenSpent?.to }]);
        continue;
      }
      const placed = state.positions.map(
        (value, axis) => step.sets.find((set) => set.axis === axis)?.state ?? value,
      );
      const used = state.triesUsed.map((count, n) => (n === nth ? count + 1 : count));
      expect(moves.map((move) => move.state)).toEqual(
        step.exits.map((exit) => ({
          step: exit.to,
          positions: placed,
          triesUsed: used,
          busy: exit.busy === 'as-before' ? state.busy : exit.busy === 'yes',
          seen: state.seen || step.kind === 'watch',
        })),
      );
    }
  });

  test('a condition holds exactly where all of it is so', () => {
    for (let i = 0; i < 300; i += 1) {
      const state = randomState();
      const words = new Int32Array(successors.stride);
      successors.pack(state, words, 0);
      const holdings = graph.axes.flatMap((axis, index) =>
        random() < 2 / positions
          ? [{ axis: index, state: random() < 0.7 ? state.positions[index]! : below(axis.states.length) }]
          : [],
      );
      const all = holdings.every((holding) => state.positions[holding.axis] === holding.state);
      expect(successors.condition(holdings).holds(words, 0)).toBe(all);
    }
  });
});

describe('what each kind of step leads to', () => {
  const graph = stepGraphOf(productOf({ procedure: pumpSteps() }));
  const exits = (id: string) => {
    const step = graph.steps.find((one) => one.id === id)!;
    return step.exits.map((exit) =>
      [exit.reason, exit.pattern ?? '', graph.steps[exit.to]?.id, exit.busy].join(' '),
    );
  };

  test('a watch: its patterns but for its own name, lights that are not listed, and the time', () => {
    expect(exits('look')).toEqual([
      'lights taken take-out no',
      'lights turned-down again no',
      'unlisted  leave-alone yes',
      'late  leave-alone yes',
    ]);
  });

  test('a watch that lists no busy pattern says nothing about busy when it is left without one', () => {
    const product = productOf({
      procedure: steps(`
- { id: look, watch: { taken: done }, within: 1min, late: bad, unlisted: bad }
- { id: done, end: updated }
- { id: bad, end: failed }
`),
    });
    const [, unlisted, late] = stepGraphOf(product).steps[0]!.exits;
    expect([unlisted?.busy, late?.busy]).toEqual(['as-before', 'as-before']);
  });

  test('a measurement, a version, signs of service', () => {
    expect(exits('dead')).toEqual(['passes  feed as-before', 'does-not-pass  live as-before']);
    expect(exits('after')).toEqual([
      'release-version  lower as-before',
      'other-version  lower-failed as-before',
      'unreadable  lower as-before',
    ]);
    expect(exits('serving')).toEqual(['passes  finished as-before', 'does-not-pass  not-serving as-before']);
  });

  test('a count: done so often, then not done', () => {
    expect(exits('again')).toEqual(['done  start as-before']);
    const again = graph.steps.find(({ id }) => id === 'again');
    expect(again?.tries).toBe(1);
    expect(graph.steps[again?.whenSpent?.to ?? -1]?.id).toBe('take-out-failed');
  });

  test('unreadable without a step of its own goes where the release would', () => {
    const product = productSchema.parse(randomProduct(3));
    for (const step of stepGraphOf(product).steps) {
      const written = product.procedure[step.index];
      if (written?.kind !== 'read' || written.unreadable !== undefined) continue;
      expect(step.exits[2]?.to).toBe(step.exits[0]?.to);
    }
  });
});
