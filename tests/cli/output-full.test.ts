// Standard output that takes nothing more, as a real process has it: /dev/full is a disk without room. Runs the built
// command line (`npm test` builds it first).

import { spawnSync } from 'node:child_process';
import { closeSync, openSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { outputFailure } from '../../src/ui/output-failure.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

const bin = join(import.meta.dirname, '../../bin/slotproof.js');
let workspace: RegisterWorkspace;

beforeAll(async () => {
  workspace = registerWorkspace();
  const table = `serial,site,product,hardware,version\n${pumpSerial(1)},Alder Farm,rill-40,B,4.0.0\n`;
  const import_ = ['units', 'import', workspace.file('fleet.csv', table), '--as', 'R. Quill'];
  expect((await runCli(import_, { workspace: workspace.path })).exit).toBe(0);
});
afterAll(() => workspace.remove());

function intoFullDisk(args: readonly string[], alsoError = false) {
  const full = openSync('/dev/full', 'w');
  try {
    return spawnSync(process.execPath, [bin, ...args], {
      encoding: 'utf8',
      stdio: ['ignore', full, alsoError ? full : 'pipe'],
      env: { ...process.env, SLOTPROOF_WORKSPACE: workspace.path },
    });
  } finally {
    closeSync(full);
  }
}

test.each(['audit', 'audit --json', 'units export', 'units nosuch --json', '--help', '--version'])(
  '%s: one error, no trace of a bug, and the exit of a drive that failed',
  (args) => {
    const { status, stderr } = intoFullDisk(args.split(' '));
    expect(stderr.replace(/\s+/g, ' ')).toMatch(
      /^error: The answer was not written in full: no room is left where standard output goes\. \[output-full\] next: [^:]+: [^:]+\. $/,
    );
    expect(status).toBe(6);
  },
);

test('standard error full as well: the exit code alone says it', () => {
  expect(intoFullDisk(['audit'], true).status).toBe(6);
  expect(intoFullDisk(['units', 'nosuch'], true).status).toBe(2);
});

test('a reader that has seen enough is no error', () => {
  const piped = spawnSync('sh', ['-c', `"${process.execPath}" "${bin}" --version | true`], {
    encoding: 'utf8',
  });
  expect(piped.stderr).toBe('');
});

test('what failed otherwise is told by its own code; what is no error of the system is a bug', () => {
  expect(outputFailure(Object.assign(new Error('write'), { code: 'EIO' }))?.facts).toMatchObject({
    code: 'output-failed',
    exit: 6,
    summary: expect.stringContaining('EIO'),
  });
  expect(outputFailure(Object.assign(new Error('write'), { code: 'EDQUOT' }))?.facts.code).toBe(
    'output-full',
  );
  expect(outputFailure(new TypeError('no'))).toBeUndefined();
  expect(outputFailure(Object.assign(new Error('no'), { code: 'ERR_INVALID_ARG_TYPE' }))).toBeUndefined();
});
