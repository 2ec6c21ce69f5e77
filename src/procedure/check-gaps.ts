// The check for gaps: every combination of step, positions, tries left, busy and seen that a walk can come to,
// each judged by every rule, with a shortest way to show what is wrong. It is no approval of safety: it knows
// only what the manifest says, and nothing of whether that is what the maker says or the equipment does.

import type { Product } from '../manifest/schema.ts';
import { type ArrivalFault, type ArrivalRule, arrivalRules } from './arrival-rules.ts';
import { checkSite } from './check-site.ts';
import { type CourseRule, courseRules } from './course-rules.ts';
import type { GapCode, GapFinding } from './gap-finding.ts';
import { checkPatternsAlike } from './patterns-alike.ts';
import { type EndKind, type ProcedureTimes, timesOver } from './procedure-times.ts';
import { defaultStateLimit, exploreStates, type Move, type StateSpace } from './state-space.ts';
import { stepGraphOf } from './step-graph.ts';
import { successorsOf } from './successors.ts';
import { wayText } from './way-text.ts';

/** Goes with everything that this check is printed in. */
export const gapStatement = 'checked for gaps; not a safety approval';

export interface PatternRule {
  readonly code: GapCode;
  check(product: Product): GapFinding[];
}

export interface GapRules {
  readonly arrival: readonly ArrivalRule[];
  readonly course: readonly CourseRule[];
  readonly patterns: readonly PatternRule[];
}

export const gapRules: GapRules = {
  arrival: arrivalRules,
  course: courseRules,
  patterns: [{ code: 'patterns-alike', check: checkPatternsAlike }],
};

export interface GapEnd {
  readonly step: string;
  readonly kind: EndKind;
  /** Every position and the state it is left in, as the manifest declares it. */
  readonly leaves: Readonly<Record<string, string>>;
  /** Those of them that are not as the manifest says a finished unit stands. */
  readonly unlikeEnds: readonly string[];
}

export interface GapCheck {
  readonly findings: readonly GapFinding[];
  /** No `stop` among the findings. */
  readonly sound: boolean;
  readonly statement: typeof gapStatement;
  /** Combinations looked at. */
  readonly states: number;
  /** False: there are more than the limit, and a `too-many-states` says so. */
  readonly complete: boolean;
  /** The ends that can be reached, in the manifest's order. */
  readonly ends: readonly GapEnd[];
  readonly times: ProcedureTimes;
}

interface GapOptions {
  readonly rules?: GapRules;
  readonly limit?: number;
}

/**
 * The names in it must resolve: the structural check comes first. A procedure with steps that are done once for a site
 * is looked at as it is at one unit alone, and at each place among several.
 */
export function checkGaps(product: Product, options: GapOptions = {}): GapCheck {
  const alone = checkAlone(product, options);
  const { rules = gapRules, limit = defaultStateLimit } = options;
  const site = checkSite(product, limit, (there) =>
    checkAlone(there, { limit, rules: { ...rules, course: [], patterns: [] } }),
  );
  // What is wrong at one unit alone shows at several too: it is told once.
  const known = new Set(alone.findings.map(({ code, step, summary }) => `${code} ${step} ${summary}`));
  const findings = [
    ...alone.findings,
    ...site.findings.filter(({ code, step, summary }) => {
      const key = `${code} ${step} ${summary}`;
      if (known.has(key)) return false;
      known.add(key);
      return true;
    }),
  ];
  return {
    ...alone,
    findings,
    sound: !findings.some(({ severity }) => severity === 'stop'),
    states: alone.states + site.states,
    complete: alone.complete && site.complete,
  };
}

function checkAlone(product: Product, { rules = gapRules, limit = defaultStateLimit }: GapOptions): GapCheck {
  const graph = stepGraphOf(product);
  const findings: GapFinding[] = [];
  const successors = successorsOf(graph);
  const judges = rules.arrival.map((rule) => ({ code: rule.code, judge: rule.prepare(product, successors) }));
  const space = exploreStates(successors, limit, (words, at, id, found) => {
    for (const { code, judge } of judges) {
      for (const fault of judge(words, at)) findings.push(arrivalFinding(code, fault, found, id));
    }
  });
  const course = exploreStates(successorsOf(graph, 'control'), limit);
  if (course.complete) for (const rule of rules.course) findings.push(...rule.check(product, course));
  if (!space.complete || !course.complete) findings.push(tooMany(limit));
  for (const rule of rules.patterns) findings.push(...rule.check(product));

  const first = (course.complete ? course : space).firstAtStep();
  return {
    findings,
    sound: !findings.some(({ severity }) => severity === 'stop'),
    statement: gapStatement,
    states: space.count,
    complete: space.complete && course.complete,
    ends: graph.steps.flatMap(({ index, id, end }): GapEnd[] => {
      if (end === undefined || first[index]! < 0) return [];
      const leaves = end.leaves.map(({ axis, state }) => {
        const position = graph.axes[axis]!;
        return { name: position.name, state: position.states[state]!, unlike: state !== position.ends };
      });
      return [
        {
          step: id,
          kind: end.kind,
          leaves: Object.fromEntries(leaves.map(({ name, state }) => [name, state])),
          unlikeEnds: leaves.filter(({ unlike }) => unlike).map(({ name }) => name),
        },
      ];
    }),
    times: timesOver(product, course),
  };
}

function arrivalFinding(code: GapCode, fault: ArrivalFault, space: StateSpace, id: number): GapFinding {
  const { graph, stride } = space.successors;
  const way = space.pathTo(id);
  const here = graph.steps[space.successors.stepAt(space.words, id * stride)];
  const before: Move | undefined = way[way.length - 1];
  const step = fault.at === 'this-step' ? here : before === undefined ? undefined : graph.steps[before.step];
  const ids = way.map((move) => graph.steps[move.step]!.id);
  return {
    code,
    severity: 'stop',
    summary: fault.summary,
    seen: `${wayText(graph, way)} ${fault.reached}`,
    expected: fault.expected,
    where: step?.id ?? 'the beginning',
    next: fault.next,
    ...(step !== undefined && { step: step.id }),
    ...(fault.position !== undefined && { position: fault.position }),
    ...(fault.neverRule !== undefined && { neverRule: fault.neverRule }),
    keys: step === undefined ? (fault.keysAtBeginning ?? []) : ['procedure', step.index, ...fault.keys],
    // Where the fault shows once a step is done, that step is the last one; else the one arrived at.
    way: fault.at === 'this-step' && here !== undefined ? [...ids, here.id] : ids,
  };
}

function tooMany(limit: number): GapFinding {
  return {
    code: 'too-many-states',
    severity: 'stop',
    summary: `The procedure has more combinations than the check looks at, so it could not be checked whole`,
    seen: `more than ${limit} combinations of step, positions and tries`,
    expected: `at most ${limit}`,
    where: 'procedure',
    next: 'Use fewer steps with `tries`, or fewer tries each.',
    keys: ['procedure'],
  };
}
