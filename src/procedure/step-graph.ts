// A product's procedure with every name resolved to an index and every way out of a step made explicit. This
// is where the meaning of each kind of step stands, once; `successors.ts` moves along it. It trusts that names
// resolve: the structural check of the manifest comes first.

import type { Placing, Product, Step, StepKind } from '../manifest/schema.ts';

/** One position in one state; both are indexes. */
export interface Holding {
  readonly axis: number;
  readonly state: number;
}

export interface PositionAxis {
  readonly name: string;
  readonly states: readonly string[];
  readonly starts: number;
  readonly ends: number;
}

export type ExitReason =
  | 'done'
  | 'passes'
  | 'does-not-pass'
  | 'no-tries-left'
  | 'lights'
  | 'late'
  | 'unlisted'
  | 'release-version'
  | 'other-version'
  | 'unreadable';

export interface StepExit {
  readonly reason: ExitReason;
  /** The pattern seen, where the reason is `lights`. */
  readonly pattern?: string;
  /** The step it leads to; the number of steps where it leads off the end. */
  readonly to: number;
  /** Whether the unit may be writing afterwards. */
  readonly busy: 'yes' | 'no' | 'as-before';
}

export interface StepNode {
  readonly index: number;
  readonly id: string;
  readonly kind: StepKind;
  readonly needs: readonly Holding[];
  readonly sets: readonly Holding[];
  /** Ways out once the step is done; none for an end. */
  readonly exits: readonly StepExit[];
  readonly tries: number | undefined;
  /** The way on when no tries are left: the step is not done then, and its `sets` do not happen. */
  readonly whenSpent: StepExit | undefined;
  /** The technician sees here what the unit did: a watch or a read. */
  readonly looks: boolean;
  /** The end's kind and where it must find each position, in the order of the axes. */
  readonly end:
    | { readonly kind: 'updated' | 'failed' | 'deferred'; readonly leaves: readonly Holding[] }
    | undefined;
}

export interface StepGraph {
  readonly steps: readonly StepNode[];
  readonly axes: readonly PositionAxis[];
  /** The indexes of the steps with `tries`. */
  readonly counted: readonly number[];
  readonly never: readonly { readonly when: readonly Holding[]; readonly why: string }[];
  readonly whileBusy: readonly Holding[];
}

export function stepGraphOf(product: Product): StepGraph {
  const axes = Object.entries(product.positions).map(([name, { states, starts, ends }]): PositionAxis => {
    return { name, states, starts: states.indexOf(starts), ends: states.indexOf(ends) };
  });
  const holdingsOf = (placing: Placing): Holding[] =>
    Object.entries(placing).map(([name, state]) => {
      const axis = axes.findIndex((candidate) => candidate.name === name);
      return { axis, state: axes[axis]?.states.indexOf(state) ?? -1 };
    });
  const indexes = new Map(product.procedure.map((step, index) => [step.id, index]));
  const indexOf = (id: string): number => {
    const index = indexes.get(id);
    if (index === undefined) throw new Error(`a branch leads to ${id}, which is no step`);
    return index;
  };
  const busyPatterns = new Set(product.patterns.filter(({ busy }) => busy).map(({ id }) => id));
  const steps = product.procedure.map((step, index): StepNode => {
    const common = {
      index,
      id: step.id,
      kind: step.kind,
      looks: step.kind === 'watch' || step.kind === 'read',
    };
    if (step.kind === 'end') {
      const declared = holdingsOf(step.leaves);
      const leaves = axes.map(
        ({ ends }, axis) => declared.find((holding) => holding.axis === axis) ?? { axis, state: ends },
      );
      const end = { kind: step.end, leaves };
      return { ...common, needs: [], sets: [], exits: [], tries: undefined, whenSpent: undefined, end };
    }
    const tries = 'tries' in step ? step.tries : undefined;
    return {
      ...common,
      needs: holdingsOf(step.needs),
      sets: holdingsOf(step.sets),
      exits: exitsOf(step, index, indexOf, busyPatterns),
      tries,
      whenSpent:
        tries === undefined || !('otherwise' in step) || step.otherwise === undefined
          ? undefined
          : { reason: 'no-tries-left', to: indexOf(step.otherwise), busy: 'as-before' },
      end: undefined,
    };
  });
  return {
    steps,
    axes,
    counted: steps.filter((step) => step.tries !== undefined).map((step) => step.index),
    never: product.never.map(({ when, why }) => ({ when: holdingsOf(when), why })),
    whileBusy: holdingsOf(product.whileBusy),
  };
}

function exitsOf(
  step: Exclude<Step, { kind: 'end' }>,
  index: number,
  indexOf: (id: string) => number,
  busyPatterns: ReadonlySet<string>,
): StepExit[] {
  const next = 'next' in step && step.next !== undefined ? indexOf(step.next) : index + 1;
  const exit = (reason: ExitReason, to: number): StepExit => ({ reason, to, busy: 'as-before' });
  switch (step.kind) {
    case 'do':
    case 'wait':
    case 'hold':
      return [exit('done', next)];
    case 'measure':
    case 'confirm':
      return [exit('passes', next), exit('does-not-pass', indexOf(step.otherwise))];
    case 'read':
      return [
        exit('release-version', next),
        exit('other-version', indexOf(step.other)),
        exit('unreadable', step.unreadable === undefined ? next : indexOf(step.unreadable)),
      ];
    case 'watch': {
      const listed = Object.entries(step.watch);
      // Nobody has seen it stop: whoever leaves such a watch without a listed pattern must take it as writing.
      const unsaid = listed.some(([pattern]) => busyPatterns.has(pattern)) ? 'yes' : 'as-before';
      const exits = listed.map(([pattern, to]): StepExit => {
        return { reason: 'lights', pattern, to: indexOf(to), busy: busyPatterns.has(pattern) ? 'yes' : 'no' };
      });
      exits.push({ reason: 'unlisted', to: indexOf(step.unlisted), busy: unsaid });
      // A watch that names itself goes on watching: it is not left, and `within` runs on. Only its time-out
      // cannot do so: nothing would end the watch then, so that one stays and shows as a loop.
      return [
        ...exits.filter(({ to }) => to !== index),
        { reason: 'late', to: indexOf(step.late), busy: unsaid },
      ];
    }
  }
}
