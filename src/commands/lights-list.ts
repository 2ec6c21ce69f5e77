// The patterns of a product, drawn in characters as on its sheet, and which of them are hard to tell apart, by
// what and within how many seconds. Says nothing of what was seen.

import type { Pattern, Product } from '../manifest/schema.ts';
import { showsText } from '../procedure/light-text.ts';
import { patternPairs } from '../procedure/patterns-alike.ts';
import type { Difference } from '../procedure/tell-apart.ts';
import { languages } from '../sheet/language.ts';
import { type LightForm, patternLines } from '../sheet/text-lights.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';

/** A person counts for ten seconds: what takes longer than that is hard. */
const easySeconds = 10;

interface Twin {
  readonly pattern: string;
  /** undefined: nobody can. */
  readonly apart: Difference | undefined;
  readonly hard: boolean;
}

export interface ListedPattern {
  readonly product: Product;
  readonly pattern: Pattern;
  readonly twins: readonly Twin[];
}

const isHard = (apart: Difference | undefined) =>
  apart === undefined || apart.colourOnly || apart.seconds > easySeconds;

export function listedPatterns(product: Product): ListedPattern[] {
  const pairs = patternPairs(product);
  return product.patterns.map((pattern) => ({
    product,
    pattern,
    twins: pairs.flatMap(({ a, b, apart }): Twin[] => {
      if (a.id !== pattern.id && b.id !== pattern.id) return [];
      return [{ pattern: a.id === pattern.id ? b.id : a.id, apart, hard: isHard(apart) }];
    }),
  }));
}

export function patternJson({ product, pattern, twins }: ListedPattern): Record<string, unknown> {
  return {
    pattern: pattern.id,
    means: pattern.means,
    busy: pattern.busy,
    shows: showsText(pattern.shows, product.lights),
    apart: twins.map(twinJson),
  };
}

function twinJson({ pattern, apart, hard }: Twin): Record<string, unknown> {
  return {
    from: pattern,
    hard,
    seconds: apart?.seconds ?? null,
    by: apart?.by ?? null,
    colourOnly: apart?.colourOnly ?? null,
  };
}

export function renderLights(product: Product, columns: number): string {
  const form: LightForm = { words: languages.en, width: columns, view: { lights: product.lights } };
  const listed = listedPatterns(product);
  const lines = [
    wrap(`What the lights of ${product.id} say (${printable(product.name, 80)})`, columns),
    wrap(form.words.lights.intro, columns),
  ];
  for (const { pattern } of listed) {
    lines.push('', wrap(`${pattern.id}: ${pattern.means}`, columns, '    ', '  '));
    lines.push(...patternLines(pattern, form));
  }
  lines.push('', ...hardPairs(product, listed, columns));
  return lines.join('\n');
}

function hardPairs(product: Product, listed: readonly ListedPattern[], columns: number): string[] {
  const order = product.patterns.map(({ id }) => id);
  const hard = listed.flatMap(({ pattern, twins }) =>
    twins
      .filter((twin) => twin.hard && order.indexOf(pattern.id) < order.indexOf(twin.pattern))
      .map((twin) => wrap(pairText(pattern.id, twin), columns, '    ', '  ')),
  );
  const slowest = Math.max(
    0,
    ...listed.flatMap(({ twins }) => twins.map(({ apart }) => apart?.seconds ?? 0)),
  );
  if (hard.length > 0) return ['Hard to tell apart:', ...hard];
  if (listed.length < 2) return [];
  return [wrap(`Whoever looks for ${slowest} seconds can tell every pattern from every other.`, columns)];
}

function pairText(id: string, { pattern, apart }: Twin): string {
  if (apart === undefined) return `\`${id}\` and \`${pattern}\` look the same: nobody can tell them by eye.`;
  const colour = apart.colourOnly ? ', only by a colour, which not everyone sees' : '';
  return `\`${id}\` and \`${pattern}\`: look for ${apart.seconds} s${colour}. ${apart.by}.`;
}
