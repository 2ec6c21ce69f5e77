// Whole processes, measured in pairs: ours, theirs, ours, theirs … after one warm-up each, so that a machine
// whose speed drifts does not favour either. Prints the ratio of the medians and of the pairs. Judges nothing.

import { spawnSync } from 'node:child_process';

function secondsOf(command) {
  const startNs = process.hrtime.bigint();
  const done = spawnSync('sh', ['-c', `exec 2>/dev/null >/dev/null; ${command.run}`], { stdio: 'ignore' });
  const seconds = Number(process.hrtime.bigint() - startNs) / 1e9;
  const allowed = command.exits ?? [0];
  if (!allowed.includes(done.status)) throw new Error(`${command.run}\nended with ${done.status}`);
  return seconds;
}

const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

/**
 * @param {string} title
 * @param {{run: string, before?: string, exits?: number[]}} ours a shell command, what resets the ground before each run
 * @param {{run: string, before?: string, exits?: number[]}} theirs the public tools that do the same
 * @param {number} goal the ratio that is hoped for
 */
export function compare(title, ours, theirs, goal, runs = 7) {
  const reset = (command) => command.before && spawnSync('sh', ['-c', command.before], { stdio: 'ignore' });
  const pairs = [];
  for (let run = -1; run < runs; run++) {
    reset(ours);
    const a = secondsOf(ours);
    reset(theirs);
    const b = secondsOf(theirs);
    if (run >= 0) pairs.push({ a, b, ratio: a / b });
  }
  const a = median(pairs.map((pair) => pair.a));
  const b = median(pairs.map((pair) => pair.b));
  const ratios = pairs.map((pair) => pair.ratio).sort((x, y) => x - y);
  const figures = [a / b, ratios[0], ratios.at(-1)].map((value) => value.toFixed(3));
  console.log(`${title}`);
  console.log(`  ours ${a.toFixed(3)} s, theirs ${b.toFixed(3)} s (medians of ${runs})`);
  console.log(
    `  ratio ${figures[0]} (pairs from ${figures[1]} to ${figures[2]}); goal ${goal.toFixed(2)} or less`,
  );
}
