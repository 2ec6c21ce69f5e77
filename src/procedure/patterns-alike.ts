// Pairs of patterns that a person cannot tell apart. Where one watch leads them to different steps that is a
// fault: the wrong way would be taken and nobody would know. Elsewhere it is a warning.

import type { Pattern, Product } from '../manifest/schema.ts';
import type { GapFinding } from './gap-finding.ts';
import { showsText } from './light-text.ts';
import { type Difference, tellApart } from './tell-apart.ts';

/** Every pair in the manifest's order, and how to tell it apart; undefined where nobody can. */
export function patternPairs(
  product: Product,
): { readonly a: Pattern; readonly b: Pattern; readonly apart: Difference | undefined }[] {
  return product.patterns.flatMap((a, i) =>
    product.patterns.slice(i + 1).map((b) => ({ a, b, apart: tellApart(a.shows, b.shows, product.lights) })),
  );
}

export function checkPatternsAlike(product: Product): GapFinding[] {
  return patternPairs(product).flatMap(({ a, b, apart }): GapFinding[] => {
    if (apart !== undefined && !apart.colourOnly) return [];
    const parting = product.procedure.flatMap((step, index) => {
      if (step.kind !== 'watch') return [];
      const [toA, toB] = [step.watch[a.id], step.watch[b.id]];
      return toA === undefined || toB === undefined || toA === toB
        ? []
        : [{ step: step.id, index, toA, toB }];
    });
    const looks = (pattern: Pattern): string =>
      `\`${pattern.id}\`: ${showsText(pattern.shows, product.lights)}`;
    const seen = `${looks(a)}. ${looks(b)}`;
    if (apart === undefined && parting.length > 0) {
      return parting.map(({ step, index, toA, toB }) => ({
        code: 'patterns-alike',
        severity: 'stop',
        summary: `\`${a.id}\` and \`${b.id}\` look the same to a person, but at \`${step}\` they lead to \`${toA}\` and to \`${toB}\``,
        seen,
        expected:
          'lights that differ: rates by a factor of 1.5 or more, a flash above 240 a minute counting as on',
        where: step,
        next: "Read the maker's document again; if they are alike, lead both to the same, safer step.",
        step,
        keys: ['procedure', index, 'watch', b.id],
      }));
    }
    const keys = ['patterns', product.patterns.indexOf(b)];
    if (apart === undefined) {
      return [
        {
          code: 'patterns-alike',
          severity: 'warn',
          summary: `\`${a.id}\` and \`${b.id}\` look the same to a person`,
          seen,
          where: b.id,
          next: "Check both against the maker's document; make one of them if they mean the same.",
          keys,
        },
      ];
    }
    if (parting.length === 0) return [];
    return parting.map(({ step, index }) => ({
      code: 'patterns-by-colour',
      severity: 'warn',
      summary: `At \`${step}\` only a colour tells \`${a.id}\` from \`${b.id}\`; not everyone sees it`,
      seen: apart.by,
      where: step,
      next: 'Say in `means` what else shows it, or have a second person look.',
      step,
      keys: ['procedure', index, 'watch', b.id],
    }));
  });
}
