// The structural rules of a procedure's steps, each by itself: branches lead to steps that exist, patterns and
// positions are known, and keys that belong together stand together. Does not follow any branch.

import { type Fault, type Path, unknownName } from './fault.ts';
import { lintPlacing } from './lint-placing.ts';
import type { DoStep, HoldStep, Product, Step, WaitStep } from './schema.ts';

export function lintSteps(product: Product): Fault[] {
  const stepIds = product.procedure.map((step) => step.id);
  const patternIds = product.patterns.map((pattern) => pattern.id);
  return product.procedure.flatMap((step, i) => {
    const at: Path = ['procedure', i];
    const faults: Fault[] = [];
    for (const branch of branchesOf(step)) {
      if (!stepIds.includes(branch.to))
        faults.push(unknownName([...at, ...branch.path], 'step', branch.to, stepIds));
    }
    if (step.kind === 'end') faults.push(...lintPlacing(product, [...at, 'leaves'], step.leaves));
    else {
      faults.push(...lintPlacing(product, [...at, 'needs'], step.needs));
      faults.push(...lintPlacing(product, [...at, 'sets'], step.sets));
    }
    if (step.kind === 'watch') {
      for (const id of Object.keys(step.watch)) {
        if (!patternIds.includes(id))
          faults.push(unknownName([...at, 'watch', id], 'pattern', id, patternIds, true));
      }
    }
    return [...faults, ...lintOwn(product, step, at)];
  });
}

interface Branch {
  readonly path: Path;
  readonly to: string;
}

/** Every step that this one names, with the key that names it. */
function branchesOf(step: Step): Branch[] {
  const branches: Branch[] = [];
  const add = (to: string | undefined, ...path: string[]) => {
    if (to !== undefined) branches.push({ path, to });
  };
  if ('next' in step) add(step.next, 'then');
  if ('otherwise' in step) add(step.otherwise, 'otherwise');
  if (step.kind === 'watch') {
    for (const [pattern, to] of Object.entries(step.watch)) add(to, 'watch', pattern);
    add(step.late, 'late');
    add(step.unlisted, 'unlisted');
  }
  if (step.kind === 'read') {
    add(step.other, 'other');
    add(step.unreadable, 'unreadable');
  }
  return branches;
}

function lintOwn(product: Product, step: Step, at: Path): Fault[] {
  switch (step.kind) {
    case 'do':
    case 'wait':
      return lintTries(step, at);
    case 'hold': {
      const { min, max } = step.forSeconds;
      const span =
        min <= max ? [] : [wrong([...at, 'for'], `from ${min} s to ${max} s`, 'the shorter time first')];
      return [...lintTries(step, at), ...span];
    }
    case 'measure': {
      const { from, to } = step.measure;
      return from <= to ? [] : [wrong([...at, 'measure'], `from ${from} to ${to}`, 'from no larger than to')];
    }
    case 'watch':
      return Object.keys(step.watch).length > 0
        ? []
        : [wrong([...at, 'watch'], 'an empty mapping', 'at least one pattern')];
    case 'confirm':
      return product.serves.length > 0
        ? []
        : [
            wrong(
              [...at, 'confirm'],
              'no list serves',
              'a list serves in the product, with at least one line',
            ),
          ];
    default:
      return [];
  }
}

function lintTries(step: DoStep | WaitStep | HoldStep, at: Path): Fault[] {
  if (step.tries === undefined) {
    return step.otherwise === undefined
      ? []
      : [
          wrong(
            [...at, 'otherwise'],
            'otherwise without tries',
            'tries beside it: this step cannot fail to pass',
          ),
        ];
  }
  const missing = [step.next === undefined && 'then', step.otherwise === undefined && 'otherwise'].filter(
    Boolean,
  );
  if (missing.length === 0) return [];
  return [
    wrong([...at, 'tries'], `tries without ${missing.join(' and ')}`, 'then and otherwise beside tries'),
  ];
}

function wrong(path: Path, seen: string, expected: string): Fault {
  return {
    code: 'schema',
    severity: 'stop',
    path,
    summary: `${String(path[2])} of step ${Number(path[1]) + 1} does not make sense as it stands.`,
    seen,
    expected,
    next: 'Correct the step.',
  };
}
