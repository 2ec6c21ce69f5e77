// `completion` in the two shells that are not everywhere: fish completes a line by itself; of zsh the functions that would
// show an offer print it instead.

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { requireTools } from '../support/judges-setup.ts';
import { runCli } from '../support/run-cli.ts';

const folder = mkdtempSync(join(tmpdir(), 'slotproof-completion-'));
beforeAll(async () => {
  requireTools({ zsh: 'zsh', fish: 'fish' });
  for (const shell of ['zsh', 'fish'])
    writeFileSync(join(folder, shell), (await runCli(['completion', shell, '--json'])).json.script);
}, 300_000);
afterAll(() => rmSync(folder, { recursive: true }));

const zshStubs = `
compdef() { :; }
_describe() { for one in \${(P)@[-1]}; do [[ \${one%%:*} == \${words[CURRENT]}* ]] && print -r -- "\${one%%:*}"; done }
compadd() { shift; for one in $@; do [[ $one == \${words[CURRENT]}* ]] && print -r -- "$one"; done }
_files() { print FILES }
source $1; shift
words=("$@"); CURRENT=$#
_slotproof
`;

function inZsh(...words: string[]): string[] {
  const args = ['-f', '-c', zshStubs, 'zsh', join(folder, 'zsh'), 'slotproof', ...words];
  const { stdout, stderr } = spawnSync('zsh', args, { encoding: 'utf8' });
  expect(stderr).toBe('');
  return stdout.split('\n').filter((line) => line !== '');
}

function inFish(...words: string[]): string[] {
  const line = ['slotproof', ...words].join(' ');
  const args = ['--no-config', '-c', 'source $argv[1]; complete -C $argv[2]', join(folder, 'fish'), line];
  const { stdout, stderr } = spawnSync('fish', args, { encoding: 'utf8', cwd: folder });
  expect(stderr).toBe('');
  return stdout
    .split('\n')
    .filter((each) => each !== '')
    .map((each) => each.split('\t')[0]!);
}

test.each([
  ['zsh', inZsh],
  ['fish', inFish],
] as const)('%s offers commands, members, options and values', (_shell, offered) => {
  expect(offered('ver')).toEqual(['verify']);
  expect(offered('units', '')).toEqual(expect.arrayContaining(['import', 'export', 'move']));
  expect(offered('units', '')).not.toContain('verify');
  expect(offered('--as', 'check', 'units', 'imp')).toEqual(['import']);
  expect(offered('log', 'S', '--left', '').sort()).toEqual(['locked-off', 'no-life', 'off', 'running']);
  expect(offered('check', 'demo', '--fo')).toEqual(['--for']);
  expect(offered('log', 'S', 'alr')).toContain('already-current');
});

test('zsh loads it as a file of its own, too', () => {
  const load = `fpath=($1 $fpath); autoload -Uz compinit; compinit -u -d $1/dump; print $_comps[slotproof]`;
  writeFileSync(join(folder, '_slotproof'), spawnSync('cat', [join(folder, 'zsh')]).stdout);
  const { stdout } = spawnSync('zsh', ['-f', '-c', load, 'zsh', folder], { encoding: 'utf8' });
  expect(stdout.trim()).toBe('_slotproof');
});
