// Types and style, at the same time: a fresh checkout's types take longest, and each is one thread's work. Changes
// nothing. What a check printed is shown as a whole when it ends.
import { spawn } from 'node:child_process';

process.chdir(import.meta.dirname);

const checks = [
  ['node_modules/typescript/bin/tsc', '--noEmit'],
  // The code for browsers, in the page and in its tests.
  ['node_modules/typescript/bin/tsc', '--noEmit', '-p', 'tests/browser'],
  ['node_modules/@biomejs/biome/bin/biome', 'check', '.'],
];

function runCheck(args) {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'pipe'] });
    const parts = [];
    for (const stream of [child.stdout, child.stderr]) stream.on('data', (part) => parts.push(part));
    child.on('close', (status) => {
      process.stderr.write(Buffer.concat(parts));
      resolve(status === 0);
    });
  });
}

const passed = await Promise.all(checks.map(runCheck));
if (passed.includes(false)) process.exitCode = 1;
