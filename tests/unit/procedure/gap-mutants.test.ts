// The check for gaps with one thing broken at a time, built from changed copies of its own sources: each must
// disagree with the corpus or the judge, or the suite would not notice.

import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build, type Plugin } from 'esbuild';
import { describe, expect, test } from 'vitest';
import { productSchema } from '../../../src/manifest/schema.ts';
import type { checkGaps } from '../../../src/procedure/check-gaps.ts';
import { plantedCorpus, soundCorpus } from './gap-corpus.ts';
import { judge } from './gap-judge.ts';
import { disagreement } from './judge-agrees.ts';
import { randomProduct } from './random-product.ts';
import type { Written } from './written-product.ts';

const sources = new URL('../../../src/procedure/', import.meta.url);

/** File, what stands in it exactly once, what stands there instead. */
const mutants: readonly [string, string, string][] = [
  [
    'step-graph.ts',
    "const next = 'next' in step && step.next !== undefined ? indexOf(step.next) : index + 1;",
    'const next = index + 1;',
  ],
  [
    'step-graph.ts',
    "listed.some(([pattern]) => busyPatterns.has(pattern)) ? 'yes' : 'as-before'",
    "'as-before'",
  ],
  ['step-graph.ts', "listed.some(([pattern]) => busyPatterns.has(pattern)) ? 'yes' : 'as-before'", "'yes'"],
  [
    'step-graph.ts',
    "busy: busyPatterns.has(pattern) ? 'yes' : 'no'",
    "busy: busyPatterns.has(pattern) ? 'yes' : 'as-before'",
  ],
  ['step-graph.ts', "busy: busyPatterns.has(pattern) ? 'yes' : 'no'", "busy: 'no'"],
  ['step-graph.ts', '...exits.filter(({ to }) => to !== index),', '...exits,'],
  ['step-graph.ts', "{ reason: 'late', to: indexOf(step.late), busy: unsaid },", ''],
  ['step-graph.ts', "exits.push({ reason: 'unlisted', to: indexOf(step.unlisted), busy: unsaid });", ''],
  ['step-graph.ts', "exit('other-version', indexOf(step.other)),", ''],
  [
    'step-graph.ts',
    "exit('unreadable', step.unreadable === undefined ? next : indexOf(step.unreadable)),",
    '',
  ],
  ['step-graph.ts', 'step.unreadable === undefined ? next : indexOf(step.unreadable)', 'next'],
  [
    'step-graph.ts',
    "[exit('passes', next), exit('does-not-pass', indexOf(step.otherwise))]",
    "[exit('passes', next)]",
  ],
  ['step-graph.ts', "looks: step.kind === 'watch' || step.kind === 'read'", "looks: step.kind === 'watch'"],
  ['step-graph.ts', "looks: step.kind === 'watch' || step.kind === 'read'", "looks: step.kind === 'read'"],
  [
    'step-graph.ts',
    'declared.find((holding) => holding.axis === axis) ?? { axis, state: ends }',
    '({ axis, state: ends })',
  ],
  ['step-graph.ts', 'starts: states.indexOf(starts)', 'starts: 0'],
  ['successors.ts', 'read(words, at, rule.tries) >= rule.limit', 'read(words, at, rule.tries) > rule.limit'],
  ['successors.ts', 'out[o + rule.tries.word]! += 1 << rule.tries.shift', 'out[o + rule.tries.word]! += 0'],
  [
    'successors.ts',
    'for (let i = 0; i < stride; i += 1) out[i] = words[at + i]!;',
    'for (let i = 0; i < stride; i += 1) out[i] = (words[at + i]! & rule.keep[i]!) | rule.put[i]!;',
  ],
  ['successors.ts', '(words[at + i]! & rule.keep[i]!) | rule.put[i]!', 'words[at + i]!'],
  [
    'successors.ts',
    "after = exit.busy === 'yes' ? after | busyBit : after & ~busyBit;",
    "after = exit.busy === 'yes' ? after | busyBit : after;",
  ],
  ['successors.ts', 'let after = flags | rule.looks;', 'let after = flags;'],
  ['successors.ts', 'let after = flags | rule.looks;', 'let after = rule.looks;'],
  [
    'state-space.ts',
    'for (let id = 0; id < count && complete; id += 1)',
    'for (let id = 0; id < Math.min(count, 12) && complete; id += 1)',
  ],
  ['state-space.ts', 'return moves.reverse();', 'return moves;'],
  [
    'arrival-rules.ts',
    'if (whole === undefined || whole.holds(words, at)) return none;',
    'if (whole === undefined || whole.holds(words, at) || index === 0) return none;',
  ],
  [
    'arrival-rules.ts',
    'if (!successors.busyAt(words, at) || whole.holds(words, at)) return none;',
    'if (whole.holds(words, at)) return none;',
  ],
  ['arrival-rules.ts', 'one.told || one.condition.holds(words, at)', 'one.condition.holds(words, at)'],
  ['arrival-rules.ts', "step?.end?.kind !== 'updated'", 'step?.end?.kind === undefined'],
  [
    'arrival-rules.ts',
    'if (rule.told || !rule.condition.holds(words, at)) continue;',
    'if (!rule.condition.holds(words, at)) continue;',
  ],
  ['course-rules.ts', "(['updated', 'failed'] as const)", "(['updated'] as const)"],
  ['course-rules.ts', "(['updated', 'failed'] as const)", "(['failed'] as const)"],
  ['course-rules.ts', 'step.end?.kind === kind && first[step.index]! >= 0', 'step.end?.kind === kind'],
  ['shortest-loops.ts', 'depths[id]!;\n', '0;\n'],
  ['shortest-loops.ts', 'loops ||= next[e] === id;', 'loops ||= false;'],
  ['shortest-loops.ts', 'let loops = members.length > 1;', 'let loops = false;'],
  ['patterns-alike.ts', 'toA === toB', 'toA !== toB'],
  ['tell-apart.ts', 'sameRateBelow = 1.5', 'sameRateBelow = 1.3'],
  ['tell-apart.ts', 'sameRateBelow = 1.5', 'sameRateBelow = 1.6'],
  ['tell-apart.ts', 'steadyAbovePerMinute = 240', 'steadyAbovePerMinute = 239'],
  ['tell-apart.ts', 'steadyAbovePerMinute = 240', 'steadyAbovePerMinute = 241'],
];

async function mutated(file: string, from: string, to: string): Promise<typeof checkGaps> {
  let changed = 0;
  const mutate: Plugin = {
    name: 'mutate',
    setup(run) {
      run.onLoad({ filter: /src.procedure.[^/\\]+\.ts$/ }, ({ path }) => {
        const text = readFileSync(path, 'utf8');
        if (basename(path) !== file) return { contents: text, loader: 'ts' };
        const parts = text.split(from);
        changed += parts.length - 1;
        return { contents: parts.join(to), loader: 'ts' };
      });
    },
  };
  const { outputFiles } = await build({
    entryPoints: [fileURLToPath(new URL('check-gaps.ts', sources))],
    bundle: true,
    write: false,
    format: 'esm',
    plugins: [mutate],
    logLevel: 'silent',
  });
  if (from !== '') expect(changed, `${file}: ${from}`).toBe(1);
  const code = Buffer.from(outputFiles[0]!.contents).toString('base64');
  const module = (await import(/* @vite-ignore */ `data:text/javascript;base64,${code}`)) as {
    checkGaps: typeof checkGaps;
  };
  return module.checkGaps;
}

const parsed = (list: readonly { name: string; product: Written; told?: readonly string[] }[]) =>
  list.map(({ name, product, told }) => ({
    name,
    told: [...(told ?? [])].sort().join(),
    product: productSchema.parse(product),
  }));
const corpus = [...parsed(soundCorpus), ...parsed(plantedCorpus)];
const randoms = Array.from({ length: 60 }, (_, i) => randomProduct(i + 1)).map((product) => ({
  product: productSchema.parse(product),
  judged: judge(product, 20_000),
}));

/** The first thing that the suite would notice. */
function noticed(check: typeof checkGaps): string | undefined {
  for (const { name, product, told } of corpus) {
    const stops = check(product).findings.filter(({ severity }) => severity === 'stop');
    if ([...new Set(stops.map(({ code }) => code))].sort().join() !== told) return name;
  }
  for (const [i, { product, judged }] of randoms.entries()) {
    if (!judged.finished) continue;
    const [line] = disagreement(judged, check(product));
    if (line !== undefined) return `seed ${i + 1}: ${line}`;
  }
  return undefined;
}

describe('a broken check is noticed', () => {
  test.each(mutants)('%s: %s -> %s', async (file, from, to) => {
    let found: string | undefined;
    try {
      found = noticed(await mutated(file, from, to));
    } catch (error) {
      // Breaking down is noticed too; a mutant that does not apply is a fault of this test.
      if (error instanceof Error && error.name === 'AssertionError') throw error;
      found = String(error);
    }
    expect(found).toBeDefined();
  });

  test('unbroken, the same copy notices nothing', async () => {
    expect(noticed(await mutated('', '', ''))).toBeUndefined();
  });
});
