// Texts that are nearly manifests: the demonstration's own, harmed in one to six ways by a seeded generator, and
// a few built to hurt a reader. What must hold of every one: no exception, bounded findings, places in the file.

import { expect } from 'vitest';
import { checkProduct } from '../../src/commands/check-product.ts';
import { buildCatalogue } from '../../src/manifest/build-catalogue.ts';
import { demoManifestTexts } from './demo-world.ts';

const pieces = [
  '[',
  ']',
  '{',
  '}',
  ':',
  ': ',
  '- ',
  '? ',
  '| ',
  '> ',
  '&a ',
  '*a',
  '!!int ',
  '!',
  '%YAML 1.1\n',
  '---\n',
  '...\n',
  '#',
  "'",
  '"',
  '\\',
  '\t',
  '\n',
  '\r\n',
  '\u0000',
  '\u202e',
  '\ufeff',
  '\ud800',
  '4.10',
  '0x10',
  '1e999',
  '-0',
  '.nan',
  '~',
  'null',
  'true',
  '<<: ',
  '__proto__: ',
  'constructor: ',
  'toString',
  '9'.repeat(400),
  'a'.repeat(3000),
  '  ',
  '\n  - { id: x, end: updated }\n',
  'then: look, ',
  'tries: 20, ',
];

/** Numbers from 0 up to `below`, the same for the same seed (mulberry32). */
export function generator(seed: number): (below: number) => number {
  let state = seed >>> 0;
  return (below) => {
    state = (state + 0x6d2b79f5) >>> 0;
    let value = Math.imul(state ^ (state >>> 15), state | 1);
    value ^= value + Math.imul(value ^ (value >>> 7), value | 61);
    return Math.floor((((value ^ (value >>> 14)) >>> 0) / 2 ** 32) * below);
  };
}

const sources = demoManifestTexts().map(({ content }) => String(content));

export function harmedText(seed: number): string {
  const random = generator(seed);
  let text = sources[random(sources.length)]!;
  for (let times = 1 + random(6); times > 0; times--) text = harm(text, random);
  return text;
}

function harm(text: string, random: (below: number) => number): string {
  const at = random(text.length + 1);
  const to = Math.min(text.length, at + random(40));
  const lines = text.split('\n');
  switch (random(8)) {
    case 0:
      return text.slice(0, at) + text.slice(to);
    case 1:
      return text.slice(0, at) + pieces[random(pieces.length)] + text.slice(at);
    case 2:
      return text.slice(0, at) + pieces[random(pieces.length)] + text.slice(to);
    case 3:
      return text.slice(0, at);
    case 4: {
      const line = random(lines.length);
      return [...lines.slice(0, line), lines[random(lines.length)]!, ...lines.slice(line)].join('\n');
    }
    case 5: {
      const line = random(lines.length);
      return [...lines.slice(0, line), ...lines.slice(line + 1)].join('\n');
    }
    case 6: {
      const other = sources[random(sources.length)]!;
      return text.slice(0, at) + other.slice(random(other.length));
    }
    default:
      return text.slice(0, at) + String.fromCharCode(random(0x250)) + text.slice(at + 1);
  }
}

/** Texts that make careless readers slow, deep or large. */
export const hostileTexts: Readonly<Record<string, string>> = {
  'brackets without end': '['.repeat(200_000),
  'braces without end': '{a: '.repeat(50_000),
  'dashes without end': '- '.repeat(100_000),
  'question marks without end': '? '.repeat(100_000),
  'ever deeper blocks': Array.from({ length: 500 }, (_, i) => `${' '.repeat(i)}a:`).join('\n'),
  'one key after another': Array.from({ length: 20_000 }, (_, i) => `k${i}: 1`).join('\n'),
  'one key again and again': 'a: 1\n'.repeat(50_000),
  'one item after another': `manifest: product\nprocedure: [${'{},'.repeat(60_000)}]`,
  'aliases that multiply': `a: &a [${'x,'.repeat(100)}]\n${Array.from({ length: 99 }, (_, i) => `b${i}: &b${i} [${`*${i ? `b${i - 1}` : 'a'},`.repeat(50)}]`).join('\n')}`,
  'quotes without end': `a: "${'x'.repeat(200_000)}`,
  'blanks and a control character': `manifest: product\nmaker: "x${' '.repeat(200_000)}\\u0001y"`,
  colons: ':'.repeat(200_000),
  comments: '#\n'.repeat(100_000),
  documents: '---\n'.repeat(50_000),
  tabs: '\t'.repeat(200_000),
  'carriage returns': 'a: 1\r'.repeat(40_000),
  'a long number': `manifest: product\nformat: ${'9'.repeat(200_000)}`,
  'a long key': `${'k'.repeat(200_000)}: 1`,
  anchors: '&a '.repeat(80_000),
  'one number after another': `manifest: product\nprocedure: [${'1,'.repeat(125_000)}]`,
  'block scalars': 'a: |\n  x\n'.repeat(20_000),
};

export function requireHarmless(text: string): void {
  const { findings, products, releases } = buildCatalogue([{ path: 'F', content: text }], checkProduct);
  const lineCount = text.split('\n').length;
  expect(findings.length).toBeLessThanOrEqual(200);
  for (const { where, summary, seen, expected, next } of findings) {
    const [, line, column] = /^F:(\d+):(\d+)$/.exec(where ?? '') ?? (where === 'F' ? ['F', '1', '1'] : []);
    expect(Number(line), where).toBeGreaterThanOrEqual(1);
    expect(Number(line), where).toBeLessThanOrEqual(lineCount);
    expect(Number(column), where).toBeGreaterThanOrEqual(1);
    expect(`${summary}${seen ?? ''}${expected ?? ''}${next}`.length).toBeLessThan(3000);
  }
  if (products.size + releases.length === 0) expect(findings.length).toBeGreaterThan(0);
}
