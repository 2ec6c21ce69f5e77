// The rules that are judged at each state as a walk arrives in it: what a step needs, what must never be, what
// must hold while the unit may be writing, and what an end must find. Each tells of one subject once, at the
// first state that shows it, which breadth first is a nearest one.

import type { Product } from '../manifest/schema.ts';
import type { GapCode } from './gap-finding.ts';
import type { Holding, StepNode } from './step-graph.ts';
import type { Condition, Successors } from './successors.ts';
import { holdingsText, holdingText } from './way-text.ts';

export interface ArrivalFault {
  /** The step at fault: the one arrived at, or the one that was just done. */
  readonly at: 'this-step' | 'step-before';
  readonly position?: string;
  readonly neverRule?: number;
  /** Keys within that step; where there is no step before, `keysAtBeginning` from the top. */
  readonly keys: readonly string[];
  readonly keysAtBeginning?: readonly (string | number)[];
  /** `restart` needs the card out, but … */
  readonly summary: string;
  /** What is reached at the end of the way: `restart` is reached while the card is in. */
  readonly reached: string;
  readonly expected: string;
  readonly next: string;
}

export interface ArrivalRule {
  readonly code: GapCode;
  /** Called once; what it gives is called at each new state. */
  prepare(
    product: Product,
    successors: Successors,
  ): (words: Int32Array, at: number) => readonly ArrivalFault[];
}

const none: readonly ArrivalFault[] = [];

interface Watched {
  readonly holding: Holding;
  readonly condition: Condition;
  told: boolean;
}

function watched(successors: Successors, holdings: readonly Holding[]): Watched[] {
  return holdings.map((holding) => ({ holding, condition: successors.condition([holding]), told: false }));
}

/** What of these does not hold here and was not told before; marks it told. */
function newlyBroken(list: readonly Watched[], words: Int32Array, at: number): Watched[] {
  const broken: Watched[] = [];
  for (const one of list) {
    if (one.told || one.condition.holds(words, at)) continue;
    one.told = true;
    broken.push(one);
  }
  return broken;
}

/** Asks the list that belongs to the step arrived at, cheaply where it has none or all holds. */
function perStep(
  successors: Successors,
  listOf: (step: StepNode) => readonly Holding[],
  tell: (step: StepNode, wanted: Holding, found: Holding) => ArrivalFault,
): (words: Int32Array, at: number) => readonly ArrivalFault[] {
  const { steps } = successors.graph;
  const lists = steps.map((step) => watched(successors, listOf(step)));
  const wholes = steps.map((step) => {
    const list = listOf(step);
    return list.length === 0 ? undefined : successors.condition(list);
  });
  return (words, at) => {
    const index = successors.stepAt(words, at);
    const whole = wholes[index];
    if (whole === undefined || whole.holds(words, at)) return none;
    const step = steps[index]!;
    return newlyBroken(lists[index]!, words, at).map(({ holding }) => {
      const found = { axis: holding.axis, state: successors.positionAt(words, at, holding.axis) };
      return tell(step, holding, found);
    });
  };
}

const needsRule: ArrivalRule = {
  code: 'needs-fails',
  prepare(_product, successors) {
    const { graph } = successors;
    return perStep(
      successors,
      (step) => step.needs,
      (step, wanted, found) => ({
        at: 'this-step',
        position: graph.axes[wanted.axis]!.name,
        keys: ['needs', graph.axes[wanted.axis]!.name],
        summary: `\`${step.id}\` needs ${holdingText(graph, wanted)}, but can be reached with ${holdingText(graph, found)}`,
        reached: `\`${step.id}\` is reached while ${holdingText(graph, found, ' is')}`,
        expected: `${holdingText(graph, wanted, ' is')} whenever \`${step.id}\` is reached`,
        next: 'Set it in a step before, or lead this way elsewhere.',
      }),
    );
  },
};

const endRule: ArrivalRule = {
  code: 'end-state',
  prepare(_product, successors) {
    const { graph } = successors;
    return perStep(
      successors,
      (step) => step.end?.leaves ?? [],
      (step, wanted, found) => ({
        at: 'this-step',
        position: graph.axes[wanted.axis]!.name,
        keys: ['leaves', graph.axes[wanted.axis]!.name],
        summary: `The end \`${step.id}\` declares ${holdingText(graph, wanted)}, but can be reached with ${holdingText(graph, found)}`,
        reached: `the end \`${step.id}\` is reached while ${holdingText(graph, found, ' is')}`,
        expected: `${holdingText(graph, wanted, ' is')} whenever \`${step.id}\` is reached`,
        next: 'Add the step that sets it, give this way an end of its own, or state in `leaves` how the unit is really left.',
      }),
    );
  },
};

const neverRule: ArrivalRule = {
  code: 'never-true',
  prepare(_product, successors) {
    const { graph } = successors;
    const rules = graph.never.map(({ when, why }, index) => ({
      when,
      why,
      index,
      condition: successors.condition(when),
      told: false,
    }));
    return (words, at) => {
      let faults = none;
      for (const rule of rules) {
        if (rule.told || !rule.condition.holds(words, at)) continue;
        rule.told = true;
        const state = holdingsText(graph, rule.when);
        const fault: ArrivalFault = {
          at: 'step-before',
          neverRule: rule.index,
          keys: ['sets'],
          keysAtBeginning: ['never', rule.index],
          summary: `It can happen that ${state}, which must never be: ${rule.why}`,
          reached: state,
          expected: `never that ${state}`,
          next: 'Change the order of the steps, or lead this way elsewhere.',
        };
        faults = [...faults, fault];
      }
      return faults;
    };
  },
};

const busyRule: ArrivalRule = {
  code: 'busy-broken',
  prepare(_product, successors) {
    const { graph } = successors;
    const list = watched(successors, graph.whileBusy);
    const whole = successors.condition(graph.whileBusy);
    return (words, at) => {
      if (!successors.busyAt(words, at) || whole.holds(words, at)) return none;
      return newlyBroken(list, words, at).map(({ holding }): ArrivalFault => {
        const found = { axis: holding.axis, state: successors.positionAt(words, at, holding.axis) };
        return {
          at: 'step-before',
          position: graph.axes[holding.axis]!.name,
          keys: ['sets', graph.axes[holding.axis]!.name],
          summary: `The unit may still be writing while ${holdingText(graph, found, ' is')}`,
          reached: `${holdingText(graph, found, ' is')} and nobody has seen the unit stop writing`,
          expected: `${holdingText(graph, holding, ' is')} until a watch was left through a pattern that is not busy`,
          next: 'Watch the lights until they say that it has finished, or leave it as it is on this way.',
        };
      });
    };
  },
};

const unseenRule: ArrivalRule = {
  code: 'update-unseen',
  prepare(_product, successors) {
    const { steps } = successors.graph;
    const told = new Set<number>();
    return (words, at) => {
      const step = steps[successors.stepAt(words, at)];
      if (step?.end?.kind !== 'updated' || successors.seenAt(words, at) || told.has(step.index)) return none;
      told.add(step.index);
      return [
        {
          at: 'this-step',
          keys: ['end'],
          summary: `\`${step.id}\` calls the unit updated, but can be reached without a look at its lights or its version`,
          reached: `\`${step.id}\` is reached without a \`watch\` or a \`read\` before it`,
          expected: 'a `watch` or a `read` on every way to it',
          next: 'Add a step that watches the lights or reads the version.',
        },
      ];
    };
  },
};

export const arrivalRules: readonly ArrivalRule[] = [needsRule, neverRule, busyRule, endRule, unseenRule];
