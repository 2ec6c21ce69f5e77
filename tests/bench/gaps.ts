// How fast the check for gaps is: a procedure of 60 steps and 8 positions, and ones with very many combinations.
// `npm run bench -- gaps` builds and runs it. Asserts nothing but that nothing was found.

import { type Product, productSchema } from '../../src/manifest/schema.ts';
import { checkGaps } from '../../src/procedure/check-gaps.ts';
import { exploreStates } from '../../src/procedure/state-space.ts';
import { stepGraphOf } from '../../src/procedure/step-graph.ts';
import { successorsOf } from '../../src/procedure/successors.ts';

/** A chain of steps that each set a position, then watches that each can be tried again from the first of them. */
function chain(steps: number, positions: number, watches: number, tries: number): Product {
  const names = Array.from({ length: positions }, (_, i) => `position-${i}`);
  const allOn = Object.fromEntries(names.map((name) => [name, 'on']));
  const onward = 'then';
  const index = Array.from({ length: watches }, (_, i) => i);
  return productSchema.parse({
    manifest: 'product',
    format: 1,
    id: 'bench',
    maker: 'Tarnholt',
    name: 'Bench rig',
    hazards: ['mains-ac'],
    hardware: ['A'],
    serial: { pattern: '^BN[0-9]{4}$' },
    versions: 'dotted',
    card: { fileSystems: ['fat32'], partitionTables: ['mbr'], capacity: { min: '1GB', max: '32GB' } },
    lights: [{ id: 'lamp', label: 'LAMP', colour: 'white' }],
    patterns: [
      { id: 'taken', means: 'Taken', shows: { lamp: 'on' } },
      { id: 'refused', means: 'Refused', shows: { lamp: { perMinute: 60 } } },
      { id: 'writing', means: 'Writing', busy: true, shows: { lamp: { burst: 3, pause: '2s' } } },
    ],
    positions: Object.fromEntries(
      names.map((name) => [name, { states: ['off', 'on'], starts: 'off', ends: 'off' }]),
    ),
    whileBusy: allOn,
    never: [],
    procedure: [
      ...Array.from({ length: steps - 2 * watches - 2 }, (_, i) => {
        const name = names[i % positions]!;
        return {
          id: `do-${i}`,
          do: 'Do it',
          needs: { [name]: i < positions ? 'off' : 'on' },
          sets: { [name]: 'on' },
        };
      }),
      ...index.map((i) => ({
        id: `look-${i}`,
        watch: {
          writing: `look-${i}`,
          taken: i + 1 < watches ? `look-${i + 1}` : 'done',
          refused: `again-${i}`,
        },
        within: '5min',
        late: 'failed',
        unlisted: 'failed',
      })),
      { id: 'done', end: 'updated', leaves: allOn },
      { id: 'failed', end: 'failed', leaves: allOn },
      ...index.map((i) => ({
        id: `again-${i}`,
        do: 'Try again',
        tries,
        otherwise: 'failed',
        [onward]: 'look-0',
      })),
    ],
  });
}

function fastest(run: () => void): number {
  let best = Number.POSITIVE_INFINITY;
  for (let i = 0; i < 5; i += 1) {
    const start = performance.now();
    run();
    best = Math.min(best, performance.now() - start);
  }
  return best;
}

for (const [title, product] of [
  ['60 steps, 8 positions, 2 watches with 3 tries', chain(60, 8, 2, 3)],
  ['60 steps, 8 positions, 7 watches with 4 tries', chain(60, 8, 7, 4)],
  ['80 steps, 10 positions, 9 watches with 2 tries', chain(80, 10, 9, 2)],
] as const) {
  const { states, findings } = checkGaps(product);
  if (findings.length > 0) throw new Error(`${title}: ${findings[0]?.summary}`);
  const first = performance.now();
  checkGaps(product);
  const once = performance.now() - first;
  const whole = fastest(() => checkGaps(product));
  const explore = fastest(() => exploreStates(successorsOf(stepGraphOf(product))));
  console.log(`check for gaps, ${title}: ${states} states`);
  console.log(
    `  whole check ${once.toFixed(1)} ms once, ${whole.toFixed(1)} ms at best, ${((whole * 1000) / states).toFixed(2)} µs a state`,
  );
  console.log(
    `  states alone ${explore.toFixed(1)} ms, ${((explore * 1000) / states).toFixed(2)} µs a state; goals 200 ms, 1 µs`,
  );
}
