// The rules about the course as a whole: every step can be reached, an update and a failure can both be ended,
// the last step leads somewhere, every loop has a bound. They need steps and tries alone, since no position
// bars a way: what a step needs is a demand on the manifest, not a gate.

import type { Product } from '../manifest/schema.ts';
import type { GapCode, GapFinding } from './gap-finding.ts';
import { shortestLoops } from './shortest-loops.ts';
import type { Move, StateSpace } from './state-space.ts';
import { wayText } from './way-text.ts';

export interface CourseRule {
  readonly code: GapCode;
  /** `space`: all of it, of steps and tries alone. */
  check(product: Product, space: StateSpace): GapFinding[];
}

const stop = 'stop' as const;

function idsOf(space: StateSpace, way: readonly Move[], last: string): string[] {
  return [...way.map(({ step }) => space.successors.graph.steps[step]!.id), last];
}

const unreachableRule: CourseRule = {
  code: 'step-unreachable',
  check(_product, space) {
    const first = space.firstAtStep();
    return space.successors.graph.steps
      .filter(({ index }) => first[index]! < 0)
      .map(({ index, id }) => ({
        code: 'step-unreachable',
        severity: stop,
        summary: `No way leads to \`${id}\``,
        expected: 'every step can be reached',
        where: id,
        next: 'Lead a branch to it, or take it out. Nothing follows an end, and a step with `tries` is left for `otherwise` only when it is reached once more than it has tries.',
        step: id,
        keys: ['procedure', index],
      }));
  },
};

const endMissingRule: CourseRule = {
  code: 'end-missing',
  check(_product, space) {
    const first = space.firstAtStep();
    const { steps } = space.successors.graph;
    return (['updated', 'failed'] as const)
      .filter((kind) => !steps.some((step) => step.end?.kind === kind && first[step.index]! >= 0))
      .map((kind) => {
        const written = steps.some((step) => step.end?.kind === kind);
        return {
          code: 'end-missing',
          severity: stop,
          summary: `No \`${kind}\` end can be reached`,
          seen: written ? `there is one, but no way leads to it` : 'the procedure has none',
          expected: `a step with \`end: ${kind}\` that can be reached`,
          where: 'procedure',
          next:
            kind === 'failed'
              ? 'Say how the unit is left when the update does not work, and end there.'
              : 'End the way on which all goes well.',
          keys: ['procedure'],
        };
      });
  },
};

const runsOffRule: CourseRule = {
  code: 'runs-off',
  check(_product, space) {
    const { graph } = space.successors;
    const last = graph.steps[graph.steps.length - 1];
    if (last === undefined || !last.exits.some(({ to }) => to === graph.steps.length)) return [];
    const id = space.firstAtStep()[graph.steps.length]!;
    const way = id < 0 ? undefined : space.pathTo(id);
    return [
      {
        code: 'runs-off',
        severity: stop,
        summary: `After \`${last.id}\` nothing follows: it is the last step, and neither ends nor leads elsewhere`,
        ...(way !== undefined && {
          seen: `${wayText(graph, way)} there is no step`,
          way: way.map(({ step }) => graph.steps[step]!.id),
        }),
        expected: 'an `end`, or a `then` that leads to a step',
        where: last.id,
        next: 'Add the end that belongs here, or state where this step leads.',
        step: last.id,
        keys: ['procedure', last.index],
      },
    ];
  },
};

const loopRule: CourseRule = {
  code: 'loop-unbounded',
  check(_product, space) {
    const { graph } = space.successors;
    return shortestLoops(space).map(({ way, leadIn, step }) => {
      const { id, index } = graph.steps[step]!;
      const round = [...new Set(way.slice(leadIn).map((move) => `\`${graph.steps[move.step]!.id}\``))];
      const names = round.length > 8 ? [...round.slice(0, 7), `${round.length - 7} more`] : round;
      return {
        code: 'loop-unbounded',
        severity: stop,
        summary: `It can go round without end: ${names.join(', ')}, and \`${id}\` again`,
        seen: `${wayText(graph, way)} \`${id}\` is reached again with as many tries left as before`,
        expected: 'every loop has a step with `tries`, whose `otherwise` leads out of it',
        where: id,
        next: 'Give a step of the loop `tries`, and an `otherwise` that does not lead back.',
        step: id,
        keys: ['procedure', index],
        way: idsOf(space, way, id),
      };
    });
  },
};

export const courseRules: readonly CourseRule[] = [unreachableRule, endMissingRule, runsOffRule, loopRule];
