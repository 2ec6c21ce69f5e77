// Steps that are done once for all units of a site. They are plain ones, each going on to the next step, so that leaving
// one out leads nowhere else; and what they set is the site's, so that no other step may set it. Whether a procedure
// is sound with them left out is the check for gaps' business.

import type { Fault, Path } from './fault.ts';
import type { Product } from './schema.ts';
import { isShared, sitePositions } from './shared-steps.ts';

function wrong(path: Path, summary: string, seen: string, expected: string, next: string): Fault {
  return { code: 'schema', severity: 'stop', path, summary, seen, expected, next };
}

export function lintOncePerSite(product: Product): Fault[] {
  const { procedure } = product;
  const site = sitePositions(product);
  return procedure.flatMap((step, index): Fault[] => {
    const at: Path = ['procedure', index];
    if (isShared(step)) {
      const keys = [
        'next' in step && step.next !== undefined && 'then',
        'tries' in step && step.tries !== undefined && 'tries',
        'otherwise' in step && step.otherwise !== undefined && 'otherwise',
      ].filter((key) => key !== false);
      if (keys.length > 0) {
        return [
          wrong(
            [...at, 'oncePerSite'],
            'A step that is done once for a site must go on to the next one.',
            `oncePerSite beside ${keys.join(', ')}`,
            'neither then, tries nor otherwise',
            'Take these keys out, or the mark.',
          ),
        ];
      }
      if (index < procedure.length - 1) return [];
      return [
        wrong(
          [...at, 'oncePerSite'],
          'A step that is done once for a site must go on to the next one.',
          'the last step',
          'a step after it',
          'Put an end after it.',
        ),
      ];
    }
    if (step.kind === 'end') return [];
    return Object.keys(step.sets)
      .filter((name) => site.has(name))
      .map((name) =>
        wrong(
          [...at, 'sets', name],
          `${name} belongs to the whole site, since a step that is done once for a site sets it.`,
          `set by ${step.id}, which is done at every unit`,
          'set by steps with oncePerSite alone',
          'Mark this step too, or use another position.',
        ),
      );
  });
}
