// From what was seen to what it means: the patterns that it may be, best first, with what to do next, whether
// one may be sure of it, and what to look at to be surer. Where two are as good as each other the one that does
// not lead to success stands first. `sure` is never said where another pattern could look so to a person who
// miscounts or overlooks a light.

import type { Pattern, Product, Step } from '../manifest/schema.ts';
import type { Sighting } from './light-sighting.ts';
import { showsText } from './light-text.ts';
import { stepGraphOf } from './step-graph.ts';
import { tellApart } from './tell-apart.ts';
import { weighLights } from './weigh-lights.ts';

export interface LightMatch {
  /** Its id; null: no light at all, and the product has no pattern for that. */
  readonly pattern: string | null;
  readonly means: string;
  /** What the procedure does about it. */
  readonly next: string;
  readonly sure: boolean;
  /** `fits`: as seen; `nearly`: with a mistake or two; `hardly`: something speaks against it. */
  readonly fit: 'fits' | 'nearly' | 'hardly';
  /** What it should look like. */
  readonly shows: string;
  /** Where to look, how long and what for, to be surer; one line for each pattern that it might be as well. */
  readonly surer: readonly string[];
}

const mostMatches = 5;
const fitsUpTo = 1;
const nearlyUpTo = 5;
/** Further from the best than this is no longer an answer. */
const worthNaming = 6;
/** Something contradicts it outright: named only where nothing better is there. */
const notWorthNaming = 16;

export function matchLights(product: Product, sighting: Sighting): LightMatch[] {
  const leadsToSuccess = successReach(product);
  const ranked = product.patterns
    .map((pattern, order) => ({
      pattern,
      order,
      weight: weighLights(sighting, pattern, product.lights),
      success: leadsToSuccess(pattern) ? 1 : 0,
    }))
    .sort((a, b) => a.weight.cost - b.weight.cost || a.success - b.success || a.order - b.order);
  const best = ranked[0];
  const dark = darkness(product, sighting);
  if (best === undefined) return dark === undefined ? [] : [dark];
  const named = ranked
    .filter(({ weight }) => weight.cost <= Math.min(best.weight.cost + worthNaming, notWorthNaming))
    .slice(0, mostMatches);
  const rivals = ranked.filter((one) => one !== best && one.weight.possible);
  const matches = named.map(({ pattern, weight }): LightMatch => {
    const others = pattern === best.pattern ? rivals : [best];
    return {
      pattern: pattern.id,
      means: pattern.means,
      next: nextText(product, pattern),
      sure:
        pattern === best.pattern &&
        weight.possible &&
        weight.plain &&
        rivals.length === 0 &&
        dark === undefined,
      fit: weight.cost <= fitsUpTo ? 'fits' : weight.cost <= nearlyUpTo ? 'nearly' : 'hardly',
      shows: showsText(pattern.shows, product.lights),
      surer: others.slice(0, 3).map((other) => surerText(pattern, other.pattern, product)),
    };
  });
  return dark === undefined ? matches : [dark, ...matches.slice(0, mostMatches - 1)];
}

/** Every light said to be off, and no pattern that says so: an answer of its own, and never a sure one. */
function darkness(product: Product, sighting: Sighting): LightMatch | undefined {
  const looked =
    product.lights.length > 0 && product.lights.every(({ id }) => sighting.lights.get(id)?.kind === 'off');
  const shown = (sighting.display ?? '') !== '' || sighting.sweep.length > 0;
  const known = product.patterns.some(
    ({ shows }) =>
      shows.display === undefined &&
      shows.sweep === undefined &&
      Object.values(shows.lights).every(({ kind }) => kind === 'off'),
  );
  if (!looked || shown || known) return undefined;
  return {
    pattern: null,
    means:
      "No light is lit, which is none of this product's patterns: it may be without supply, or between two flashes",
    next: `Look for a whole minute. An unlit light does not prove dead: measure. ${unlistedText(product)}`,
    sure: false,
    fit: 'fits',
    shows: 'all lights off',
    surer: ['Check that its supply is on, and look again for a minute'],
  };
}

function surerText(a: Pattern, b: Pattern, product: Product): string {
  const apart = tellApart(a.shows, b.shows, product.lights);
  if (apart === undefined)
    return `\`${b.id}\` looks the same (${b.means}): nobody can tell them apart by eye`;
  const colour = apart.colourOnly ? ', and have a second person name the colour' : '';
  return `To tell it from \`${b.id}\` (${b.means}), look for ${Math.max(10, apart.seconds)} s at ${apart.by}${colour}`;
}

/** Whether a watch leads on from the pattern to where an `updated` end can still be reached. */
function successReach(product: Product): (pattern: Pattern) => boolean {
  const { steps } = stepGraphOf(product);
  const reaches = new Set(steps.filter(({ end }) => end?.kind === 'updated').map(({ index }) => index));
  for (let grown = true; grown; ) {
    grown = false;
    for (const step of steps) {
      if (reaches.has(step.index)) continue;
      if (
        ![...step.exits, ...(step.whenSpent === undefined ? [] : [step.whenSpent])].some(({ to }) =>
          reaches.has(to),
        )
      )
        continue;
      reaches.add(step.index);
      grown = true;
    }
  }
  return (pattern) =>
    !pattern.busy &&
    steps.some(({ exits }) => exits.some((exit) => exit.pattern === pattern.id && reaches.has(exit.to)));
}

function nextText(product: Product, pattern: Pattern): string {
  const lines = new Set<string>();
  for (const step of product.procedure) {
    if (step.kind !== 'watch') continue;
    const to = step.watch[pattern.id];
    if (to === undefined) continue;
    lines.add(
      to === step.id
        ? `At \`${step.id}\`: keep watching, the time allowed runs on`
        : `At \`${step.id}\`: ${stepText(product, to)}`,
    );
  }
  return lines.size > 0
    ? [...lines].join('. ')
    : `The procedure does not wait for this. ${unlistedText(product)}`;
}

function unlistedText(product: Product): string {
  const lines = new Set<string>();
  for (const step of product.procedure) {
    if (step.kind !== 'watch') continue;
    lines.add(
      step.unlisted === step.id
        ? `At \`${step.id}\`, lights that are not listed: keep watching`
        : `At \`${step.id}\`, lights that are not listed: ${stepText(product, step.unlisted)}`,
    );
  }
  return [...lines].join('. ');
}

function stepText(product: Product, id: string): string {
  const step = product.procedure.find((one) => one.id === id);
  return step === undefined ? `\`${id}\`` : `\`${id}\`, ${whatItDoes(step)}`;
}

function whatItDoes(step: Step): string {
  switch (step.kind) {
    case 'do':
      return step.do;
    case 'wait':
      return 'wait';
    case 'hold':
      return `hold ${step.hold}`;
    case 'measure':
      return `measure ${step.measure.what}`;
    case 'watch':
      return 'watch the lights';
    case 'read':
      return 'read the version';
    case 'confirm':
      return 'see whether it is back in service';
    case 'end':
      return `it ends as ${step.end}`;
  }
}
