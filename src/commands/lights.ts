// `lights PRODUCT`: what a product's lights say. Without an option it lists the patterns; `--seen` tells what was
// seen apart, best match first; `--play` shows one on the screen. Knows no unit, writes nothing.

import { requireProduct } from '../manifest/catalogue.ts';
import type { Pattern, Product } from '../manifest/schema.ts';
import { parseSighting } from '../procedure/light-sighting.ts';
import { matchLights } from '../procedure/match-lights.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import type { Answer, Run } from './command.ts';
import type { Context } from './context.ts';
import { listedPatterns, patternJson, renderLights } from './lights-list.ts';
import { renderMatches, renderNoMatch } from './lights-seen.ts';

export const run: Run = async (context, [given], options) => {
  const { seen, play, seconds } = options;
  if (seen !== undefined && play !== undefined) throw together('--seen', '--play');
  if (seconds !== undefined && play === undefined) throw only('--seconds', '--play');
  const product = await requireProductNamed(context, given);
  if (typeof play === 'string') {
    const { playLights } = await import('./lights-play.ts');
    return playLights(context, product, requirePattern(product, play), seconds);
  }
  if (typeof seen === 'string') return answerSeen(context, product, seen);
  return {
    exit: exitCode.done,
    json: {
      product: product.id,
      seen: null,
      matches: [],
      lights: product.lights,
      patterns: listedPatterns(product).map(patternJson),
    },
    text: renderLights(product, Math.min(context.terminal.columns, 100)),
  };
};

async function requireProductNamed(context: Context, given: string | undefined): Promise<Product> {
  const catalogue = await context.catalogue();
  if (given !== undefined) return requireProduct(catalogue, given.split('@')[0] ?? given);
  const choices = [...catalogue.products.values()].map((product) => ({
    value: product,
    label: `${product.id}  ${printable(product.name, 80)}`,
  }));
  // Nothing to choose from: the failure says what to do.
  if (choices.length === 0) return requireProduct(catalogue, 'PRODUCT');
  return context.terminal.choose('Of which product?', choices, 'PRODUCT');
}

function answerSeen(context: Context, product: Product, text: string): Answer {
  const sighting = parseSighting(text, product.lights);
  if ('fault' in sighting) {
    throw new Failure({
      code: 'seen-form',
      exit: exitCode.wrongUse,
      summary: `What was seen could not be read: ${sighting.fault}.`,
      seen: printable(text, 100),
      expected: sighting.expected,
      where: '--seen',
      next: `Give it as in this example: --seen "${exampleOf(product)}"`,
    });
  }
  const ranked = matchLights(product, sighting);
  // Where something speaks against even the best, none of them is what was seen.
  const some = ranked[0] !== undefined && ranked[0].fit !== 'hardly';
  return {
    exit: some ? exitCode.done : exitCode.no,
    json: {
      product: product.id,
      seen: text,
      matches: some ? ranked : [],
      nearest: some ? [] : ranked,
    },
    text: some ? renderMatches(ranked, context.terminal) : renderNoMatch(ranked, context.terminal),
  };
}

/** In the words of this product, so that it can be typed as it stands. */
function exampleOf({ lights, patterns }: Product): string {
  const [first, second] = lights;
  const text = patterns.find(({ shows }) => shows.display !== undefined)?.shows.display;
  if (first === undefined) return `display=${text ?? 'text'}`;
  return second === undefined ? `${first.id}=20in10s` : `${first.id}=on,${second.id}=20in10s`;
}

function requirePattern(product: Product, given: string): Pattern {
  const wanted = given.trim().toLowerCase();
  const pattern = product.patterns.find(({ id }) => id === wanted);
  if (pattern !== undefined) return pattern;
  const ids = product.patterns.map(({ id }) => id);
  const near = nearNames(given, ids)[0];
  throw new Failure({
    code: 'pattern-unknown',
    exit: exitCode.wrongUse,
    summary: `${product.id} has no light pattern of this name.`,
    seen: printable(given, 60),
    expected: ids.join(', '),
    where: '--play',
    next: near === undefined ? 'Give one of these.' : `Did you mean ${near}?`,
  });
}

function together(one: string, other: string): Failure {
  return new Failure({
    code: 'option-misplaced',
    exit: exitCode.wrongUse,
    summary: `${one} and ${other} do not go together.`,
    next: 'Give one of them.',
  });
}

function only(option: string, withOption: string): Failure {
  return new Failure({
    code: 'option-misplaced',
    exit: exitCode.wrongUse,
    summary: `${option} goes with ${withOption}.`,
    next: `Leave ${option} out.`,
  });
}
